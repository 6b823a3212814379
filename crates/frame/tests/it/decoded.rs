//! Numbers of composed pictures against other programs' reading of them.

use frame::{
    CurveSource, Frame, FrameError, Layout, Limits, Linearity, MosaicPattern, Orientation, SampleUnit, TransferCurve,
    open,
};
use optics::Channel;
use serde::Deserialize;

use crate::pictures::composed;

const TABLE: &str = include_str!("../data/opened.csv");
/// A number of 16 bits as a share of full scale in single precision, and back: half a unit of the last of 24 bits.
const ROUNDING: f64 = 0.004;
/// Single precision of a number in floating point or of 32 bits, relative.
const SINGLE_PRECISION: f64 = 6e-8;

fn opened(file: &str) -> Frame {
    open(&composed(file), &Limits::default()).unwrap()
}

#[derive(Deserialize)]
struct Row {
    file: String,
    x: usize,
    y: usize,
    red: f64,
    green: f64,
    blue: f64,
    tolerance: f64,
}

#[test]
fn every_number_is_what_other_programs_read() {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(TABLE.as_bytes());
    let rows: Vec<Row> = reader.deserialize().map(Result::unwrap).collect();
    let mut worst = (0.0f64, String::new());
    for group in rows.chunk_by(|a, b| a.file == b.file) {
        let file = &group[0].file;
        let frame = open(&composed(file), &Limits::default()).unwrap_or_else(|error| panic!("{file}: {error}"));
        let full_scale = match (frame.unit, frame.bits) {
            (SampleUnit::FileUnits, _) => 1.0,
            (SampleUnit::FullScale, 8) => 255.0,
            (SampleUnit::FullScale, bits) => 2f64.powi(i32::from(bits)) - 1.0,
        };
        let frame = frame.with_curve(TransferCurve::Linear);
        let planes = Channel::ALL.map(|channel| match frame.mosaic() {
            Some((plane, _)) => plane,
            None => frame.plane(channel).unwrap(),
        });
        for row in group {
            for (plane, expected) in planes.iter().zip([row.red, row.green, row.blue]) {
                let read = f64::from(plane.row(row.y).at(row.x)) * full_scale;
                let error = (read - expected).abs();
                let allowed =
                    row.tolerance + if full_scale > 1.0 { ROUNDING } else { expected.abs() * SINGLE_PRECISION };
                assert!(error <= allowed, "{file} at {}, {}: {read}, not {expected}", row.x, row.y);
                if error > worst.0 {
                    worst = (error, file.clone());
                }
            }
        }
    }
    println!("{} rows; greatest difference {:.4} in {}", rows.len(), worst.0, worst.1);
}

#[test]
fn layouts_and_depths_are_told() {
    for (file, layout, bits) in [
        ("rgb8.composed.png", Layout::Rgb, 8),
        ("rgba8.composed.png", Layout::Rgb, 8),
        ("onebit.composed.png", Layout::Grey, 8),
        ("grey16.composed.png", Layout::Grey, 16),
        ("rgb16_planar.composed.tif", Layout::Rgb, 16),
        ("grey_float.composed.tif", Layout::Grey, 32),
        ("grey.composed.jpg", Layout::Grey, 8),
        ("cube.composed.fits", Layout::Rgb, 16),
        ("float64.composed.fits", Layout::Grey, 64),
    ] {
        let frame = opened(file);
        assert_eq!((frame.layout, frame.bits), (layout, bits), "{file}");
    }
}

#[test]
fn a_jpeg_is_brought_to_light_by_the_assumed_curve_and_says_so() {
    let frame = opened("grey.composed.jpg");
    let Linearity::DecodedTransfer { curve, source } = &frame.linearity else { panic!("not a transfer curve") };
    assert_eq!((curve, *source), (&TransferCurve::Srgb, CurveSource::Assumed));
    assert!(frame.notes.iter().any(|note| note.contains("sRGB curve is assumed")), "{:?}", frame.notes);
    let light = frame.plane(Channel::Green).unwrap();
    let stored = frame.with_curve(TransferCurve::Linear).plane(Channel::Green).unwrap();
    for (light, stored) in light.samples().iter().zip(stored.samples().iter()) {
        let expected = TransferCurve::Srgb.light(f64::from(*stored));
        // the table is made in double precision from whole values, the other way round from rounded shares
        assert!((f64::from(*light) - expected).abs() < 1e-6);
    }
}

#[test]
fn grey_of_16_bits_and_floating_point_are_linear() {
    for file in
        ["grey16.composed.png", "grey16_bigendian.composed.tif", "grey_float.composed.tif", "uint16.composed.fits"]
    {
        assert!(opened(file).linearity.is_linear(), "{file}");
    }
    assert!(!opened("rgb16.composed.tif").linearity.is_linear());
}

#[test]
fn a_fits_mosaic_has_its_pattern_gain_ceiling_and_row_order() {
    let frame = opened("mosaic.composed.fits");
    // RGGB shifted by one column
    assert_eq!(frame.layout, Layout::Mosaic(MosaicPattern::from_name("GRBG").unwrap()));
    assert_eq!(frame.linearity, Linearity::LinearElectrons { electrons_per_unit: 0.8 });
    assert_eq!(frame.ceiling, Some(65_000.0));
    assert_eq!(frame.orientation, Orientation::Upright);
    assert_eq!(frame.cells(Channel::Red).unwrap().width(), 3);
    let plain = opened("uint16.composed.fits");
    assert_eq!((plain.ceiling, plain.orientation), (Some(65_535.0), Orientation::MirroredDown));
}

#[test]
fn cmyk_is_refused_with_a_remedy() {
    let error = open(&composed("cmyk.composed.jpg"), &Limits::default()).unwrap_err();
    assert_eq!(error.to_string(), "a JPEG in CMYK colours cannot be read here");
    assert_eq!(error.hint(), "export it as a JPEG in RGB (sRGB) colours");
}

/// A grey PNG of one pixel, with whatever `set` puts in its head.
fn png_with(set: impl FnOnce(&mut png::Info<'_>)) -> Vec<u8> {
    let mut info = png::Info::with_size(1, 1);
    (info.color_type, info.bit_depth) = (png::ColorType::Grayscale, png::BitDepth::Eight);
    set(&mut info);
    let mut bytes = Vec::new();
    let mut writer = png::Encoder::with_info(&mut bytes, info).unwrap().write_header().unwrap();
    writer.write_image_data(&[128]).unwrap();
    writer.finish().unwrap();
    bytes
}

#[test]
fn a_png_is_read_by_its_own_word_on_its_curve() {
    let curve = |bytes: &[u8]| match open(bytes, &Limits::default()).unwrap().linearity {
        Linearity::DecodedTransfer { curve, source } => (curve, source),
        other => panic!("{other:?}"),
    };
    let gamma = |value| png_with(|info| info.source_gamma = Some(png::ScaledFloat::new(value)));
    assert_eq!(curve(&gamma(1.0)), (TransferCurve::Linear, CurveSource::Tag));
    assert_eq!(curve(&gamma(0.45455)), (TransferCurve::Srgb, CurveSource::Tag));
    let (power, _) = curve(&gamma(0.5));
    assert_eq!(power, TransferCurve::Power(2.0));
    let srgb = png_with(|info| info.srgb = Some(png::SrgbRenderingIntent::Perceptual));
    assert_eq!(curve(&srgb), (TransferCurve::Srgb, CurveSource::Tag));
    assert_eq!(curve(&png_with(|_| ())), (TransferCurve::Srgb, CurveSource::Assumed));
    let linear = open(&gamma(1.0), &Limits::default()).unwrap();
    assert!(linear.linearity.is_linear());
    assert!((linear.plane(Channel::Red).unwrap().samples()[0] - 128.0 / 255.0).abs() < 1e-6);
}

#[test]
fn a_jpeg_without_its_end_says_that_it_is_cut() {
    let whole = composed("baseline444.composed.jpg");
    assert!(!open(&whole, &Limits::default()).unwrap().cut_short);
    let cut = open(&whole[..whole.len() - 40], &Limits::default()).unwrap();
    assert!(cut.cut_short);
    assert_eq!(cut.stored_size, [48, 40]);
}

/// Clipping is told by a sample at the ceiling, so full scale must be the ceiling to the last bit.
#[test]
fn full_scale_is_the_ceiling_to_the_last_bit() {
    for bytes in [
        b"P5\n1 1\n255\n\xff".to_vec(),
        b"P5\n1 1\n65535\n\xff\xff".to_vec(),
        b"P5\n1 1\n16383\n\x3f\xff".to_vec(),
        b"P5\n1 1\n201\n\xc9".to_vec(),
        b"P6\n1 1\n255\n\xff\xff\xff".to_vec(),
        b"P6\n1 1\n4095\n\x0f\xff\x0f\xff\x0f\xff".to_vec(),
    ] {
        let frame = open(&bytes, &Limits::default()).unwrap();
        for curve in [None, Some(TransferCurve::Srgb), Some(TransferCurve::Power(2.2)), Some(TransferCurve::Linear)] {
            let frame = frame.clone();
            let frame = if let Some(curve) = curve { frame.with_curve(curve) } else { frame };
            let plane = frame.plane(Channel::Red).unwrap();
            assert_eq!(plane.samples().first().copied(), frame.ceiling, "{:?}", frame.linearity);
        }
    }
}

#[test]
fn luminance_is_the_weighted_sum_of_the_three_planes() {
    for file in ["rgb8.composed.png", "rgb16_planar.composed.tif", "progressive420.composed.jpg"] {
        let frame = opened(file);
        let [red, green, blue] = Channel::ALL.map(|channel| frame.plane(channel).unwrap());
        let luminance = frame.luminance().unwrap();
        for (index, value) in luminance.samples().iter().enumerate() {
            let sum = 0.2126 * red.samples()[index] + 0.7152 * green.samples()[index] + 0.0722 * blue.samples()[index];
            assert!((value - sum).abs() < 1e-6, "{file}");
        }
    }
}

#[test]
fn limits_are_judged_before_pixels() {
    let small = Limits { most_pixels: 29, ..Limits::default() };
    for file in [
        "rgb8.composed.png",
        "rgb8.composed.gif",
        "rgb8.composed.webp",
        "rgb8.composed.bmp",
        "rgb8.composed.ppm",
        "rgb16.composed.tif",
        "uint16.composed.fits",
        "grey.composed.jpg",
    ] {
        let error = open(&composed(file), &small).unwrap_err();
        assert!(matches!(error, FrameError::TooLarge { quantity: "pixels", limit: 29, .. }), "{file}: {error}");
    }
    let thin = Limits { longest_side: 5, ..Limits::default() };
    assert!(matches!(open(&composed("rgb8.composed.png"), &thin), Err(FrameError::TooLarge { value: 6, .. })));
}
