//! The files open with what was put into them.

use frame::{FileKind, Layout, Limits, Linearity, open};
use optics::Channel;
use scene::{Development, Rendered, SceneSpec, render, sample};

fn small() -> Rendered {
    let mut spec: SceneSpec = sample("folded_bands").unwrap();
    spec.kit.sensor =
        optics::Sensor { width_px: 300, height_px: 200, pixel_um: 80.0, full_well_e: 1.2e7, ..spec.kit.sensor };
    spec.opens_at = "2026-11-10T20:30:07.25Z".parse().unwrap();
    spec.exposure.seconds = 2.5;
    render(&spec, 8).unwrap()
}

fn assert_said(frame: &frame::Frame, rendered: &Rendered) {
    let (said, spec) = (&frame.metadata, &rendered.spec);
    let taken = said.taken.as_ref().unwrap();
    assert_eq!(taken.utc(), Some(spec.opens_at));
    assert_eq!(taken.utc_offset_s, Some(3600));
    assert_eq!(said.exposure_s, Some(2.5));
    assert_eq!(said.f_number, Some(1.8));
    assert_eq!(said.iso, Some(3200.0));
    assert_eq!(said.focal_mm, Some(20.0));
    assert_eq!(said.make.as_deref(), Some("Tarrant"));
    assert_eq!(said.lens.as_deref(), Some("Tarrant 20mm F1.8"));
    let place = said.position.unwrap();
    assert!((place.latitude_deg() - 69.2).abs() < 1e-6 && (place.longitude_deg() - 15.1).abs() < 1e-6);
    let scale = frame::pixel_scale(said, frame.stored_size).unwrap().arcsec_per_px;
    let true_scale = optics::pixel_scale_arcsec(spec.kit.sensor.pixel_um, spec.kit.lens.focal_mm);
    assert!((scale.value / true_scale - 1.0).abs() < 0.02, "{} against {true_scale}", scale.value);
    assert!(said.doubts.is_empty(), "{:?}", said.doubts);
}

#[test]
fn a_dng_gives_the_sensors_numbers_back() {
    let rendered = small();
    let frame = open(&rendered.to_dng(), &Limits::default()).unwrap();
    assert_eq!(frame.kind, FileKind::Dng);
    assert_eq!(frame.linearity, Linearity::LinearRelative);
    assert_said(&frame, &rendered);
    let (plane, pattern) = frame.mosaic().unwrap();
    let numbers = &rendered.mosaic;
    for (x, y) in [(0, 0), (1, 0), (17, 90), (299, 199)] {
        assert_eq!(pattern.at(x, y), scene::Mosaic::channel(x, y));
        let value = numbers.values[y * numbers.width + x];
        let share = (f32::from(value) - f32::from(numbers.black)) / f32::from(numbers.white - numbers.black);
        assert!((plane.samples()[y * numbers.width + x] - share).abs() < 1e-6);
    }
}

#[test]
fn a_png_of_16_bits_is_linear_to_its_last_digit() {
    let rendered = small();
    let plain = Development { gain: 1.0, ..Development::default() };
    let frame = open(&rendered.to_png16(&plain).unwrap(), &Limits::default()).unwrap();
    assert_said(&frame, &rendered);
    assert_eq!((frame.layout, frame.bits), (Layout::Rgb, 16));
    let green = frame.plane(Channel::Green).unwrap();
    let numbers = &rendered.mosaic;
    let (mut compared, mut at) = (0, 1);
    while at < numbers.values.len() {
        let (x, y) = (at % numbers.width, at / numbers.width);
        if scene::Mosaic::channel(x, y) == Channel::Green {
            let share =
                (f32::from(numbers.values[at]) - f32::from(numbers.black)) / f32::from(numbers.white - numbers.black);
            assert!((green.samples()[at] - share.max(0.0)).abs() < 3e-5, "{x}, {y}");
            compared += 1;
        }
        at += 97;
    }
    assert!(compared > 200);
}

#[test]
fn a_jpeg_is_true_to_its_rounding() {
    let rendered = small();
    let development = Development { quality: 98, ..Development::default() };
    let frame = open(&rendered.to_jpeg(&development).unwrap(), &Limits::default()).unwrap();
    assert_eq!(frame.kind, FileKind::Jpeg);
    assert_said(&frame, &rendered);
    let fine = open(&rendered.to_png16(&development).unwrap(), &Limits::default()).unwrap();
    let mean = |frame: &frame::Frame| {
        let plane = frame.plane(Channel::Green).unwrap();
        f64::from(plane.samples().iter().sum::<f32>()) / plane.samples().len() as f64
    };
    assert!((mean(&frame) / mean(&fine) - 1.0).abs() < 0.02, "{} against {}", mean(&frame), mean(&fine));
}

#[test]
fn the_truth_survives_json() {
    let truth = small().truth;
    let text = serde_json::to_string(&truth).unwrap();
    assert_eq!(serde_json::from_str::<scene::Truth>(&text).unwrap(), truth);
    let spec = small().spec;
    assert_eq!(serde_json::from_str::<SceneSpec>(&serde_json::to_string(&spec).unwrap()).unwrap(), spec);
}
