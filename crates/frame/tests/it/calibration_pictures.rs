//! Real star pictures: what stars say of them must be possible.

use frame::{
    Calibration, CalibrationHints, FilterHint, FittedTerm, Frame, LensHints, LensSolution, LightChannel, LightMap,
    Limits, StarField, StarSearch, calibrate, find_stars, open, solve_lens,
};
use quantity::{Basis, Estimate, GeoPosition};

use crate::pictures::picture;

/// A picture with its stars and lens.
pub(crate) struct Solved {
    pub(crate) frame: Frame,
    pub(crate) field: StarField,
    pub(crate) lens: LensSolution,
}

/// Opens and solves a picture, with time and place where they are known; `None` where it is absent.
pub(crate) fn solved(name: &str, when_where: Option<(&str, [f64; 3])>) -> Option<Solved> {
    let frame = open(&picture(name)?, &Limits::default()).unwrap();
    let field = find_stars(&frame.luminance().unwrap(), &StarSearch::default());
    let hints = LensHints {
        taken_at: when_where.map(|(when, _)| when.parse().unwrap()),
        place: when_where.map(|(_, [lat, lon, height])| GeoPosition::new(lat, lon, height).unwrap()),
        ..LensHints::default()
    };
    let lens = solve_lens(&field, &hints).unwrap();
    Some(Solved { frame, field, lens })
}

fn print(name: &str, solved: &Solved, calibration: &Calibration) {
    println!("{name}: {:?}, black {:?}, field {:.1?}", calibration.basis, calibration.black, solved.lens.field_deg);
    for c in &calibration.channels {
        let t = |t: &frame::FittedTerm| format!("{:.3}±{:.3}{}", t.value, t.sigma, if t.fitted { "" } else { "*" });
        println!(
            "   {:?}: Z {} c {} k {} slope {} corner {} stars {} scatter {:.3} aperture {} Vref {:.1} level {:.4}",
            c.channel,
            t(&c.zero_point_mag),
            t(&c.colour_term_mag),
            t(&c.extinction_mag),
            t(&c.slope),
            t(&c.corner_falloff_mag),
            c.stars,
            c.scatter_mag,
            t(&c.aperture_mag),
            c.reference_v_mag,
            c.star_level
        );
    }
    println!("   missing {} of {}", calibration.stars_missing, calibration.stars_expected);
    for note in &calibration.notes {
        println!("   - {note}");
    }
}

/// A picture, when and where it was taken, whether it is linear, and where its camera's scale is known to lie.
struct Known {
    name: &'static str,
    when_where: Option<(&'static str, [f64; 3])>,
    linear: bool,
    /// Range in which the middle of the sky must lie, mag arcsec⁻²; `None` where the black level is not known.
    sky_mag: Option<[f64; 2]>,
}

const PICTURES: [Known; 9] = [
    Known {
        name: "starfield/2019-07-29T204726_Alt40_Azi-135_Try1.tiff",
        when_where: None,
        linear: true,
        sky_mag: None,
    },
    Known { name: "starfield/2019-07-29T204726_Alt40_Azi45_Try1.tiff", when_where: None, linear: true, sky_mag: None },
    Known { name: "starfield/2019-07-29T204726_Alt60_Azi-45_Try1.tiff", when_where: None, linear: true, sky_mag: None },
    // La Palma, moonless: 21.4 to 21.9 in V at the zenith (Benn & Ellison 1998), here with the Milky Way and a grey sensor
    Known {
        name: "starfield/20180817_0055.fits",
        when_where: Some(("2018-08-17T00:55:00Z", [28.76, -17.89, 2200.0])),
        linear: true,
        sky_mag: Some([20.5, 22.2]),
    },
    Known { name: "starfield/orion_belt.jpg", when_where: None, linear: false, sky_mag: Some([16.0, 22.5]) },
    Known { name: "starfield/orion_trees.jpg", when_where: None, linear: false, sky_mag: Some([16.0, 22.5]) },
    Known { name: "starfield/pleiades.jpg", when_where: None, linear: false, sky_mag: Some([16.0, 22.5]) },
    Known { name: "starfield/jan1_g90_e100ms.jpg", when_where: None, linear: false, sky_mag: Some([16.0, 22.5]) },
    // Svalbard without the Sun, no town near in view
    Known {
        name: "allsky_colour/LYR-Sony-111220_200933.jpg",
        when_where: Some(("2020-12-11T20:09:33Z", [78.148, 16.043, 520.0])),
        linear: false,
        sky_mag: Some([20.0, 22.5]),
    },
];

/// A camera's slope of instrumental against catalogue magnitude, if it is linear; three times its error where that is more.
const SLOPE_TOLERANCE: f64 = 0.06;
/// Scatter of stars of a linear camera, magnitudes: all but noise, colours beyond B - V and pixels that are not alike.
const LINEAR_SCATTER_MAG: f64 = 0.2;

#[test]
fn stars_of_real_cameras_calibrate_them() {
    for known in PICTURES {
        let Some(solved) = solved(known.name, known.when_where) else { continue };
        let hints = CalibrationHints {
            site_height_m: known.when_where.map(|(_, place)| place[2]),
            ..CalibrationHints::of(&solved.frame.metadata)
        };
        let calibration = calibrate(&solved.frame, &solved.field, &solved.lens, &hints).unwrap();
        print(known.name, &solved, &calibration);
        let main = calibration.channel(LightChannel::Green).unwrap();
        assert_eq!(calibration.basis.is_estimate(), !known.linear, "{}", known.name);
        assert!(main.extinction_mag.value > 0.05 && main.extinction_mag.value < 0.6, "{}", known.name);
        // no star is missing in a clear sky, but for trees and the rim
        assert!(10 * calibration.stars_missing <= calibration.stars_expected + 10, "{}", known.name);
        if known.linear {
            let off = (main.slope.value - 1.0).abs();
            assert!(off < SLOPE_TOLERANCE.max(3.0 * main.slope.sigma), "{}: {:?}", known.name, main.slope);
            assert!(main.scatter_mag < LINEAR_SCATTER_MAG, "{}", known.name);
        }
        let map = LightMap::of(&solved.frame).unwrap();
        let cells = calibration.cells(&map, solved.frame.ceiling, None);
        let mut magnitudes: Vec<f32> = cells.mag_arcsec2.iter().copied().filter(|mag| mag.is_finite()).collect();
        magnitudes.sort_by(f32::total_cmp);
        let middle = magnitudes.get(magnitudes.len() / 2).copied().map(f64::from);
        match (known.sky_mag, middle) {
            (Some([low, high]), Some(middle)) => assert!((low..high).contains(&middle), "{}: {middle}", known.name),
            (None, None) => {}
            other => panic!("{}: {other:?}", known.name),
        }
        let is_grey = main.channel == LightChannel::Grey;
        let centre = solved.frame.stored_size.map(|side| 0.5 * side as f64);
        let kr = calibration.green_kr(main.star_level, 0.0, centre);
        assert_eq!(kr.is_none(), is_grey, "{}", known.name);
        if let Some(kr) = kr {
            // a tone curve alone makes more than a factor of 1.35 each way
            assert!(kr.high / kr.low > 1.8 && kr.basis != Basis::Measured, "{kr:?}");
        }
    }
}

#[test]
fn stars_of_two_pictures_of_one_camera_agree() {
    // three directions within minutes, one sensor and lens: zero points within their errors
    let zeros: Vec<FittedTerm> = PICTURES[..3]
        .iter()
        .filter_map(|known| solved(known.name, None))
        .filter_map(|solved| {
            let calibration =
                calibrate(&solved.frame, &solved.field, &solved.lens, &CalibrationHints::default()).ok()?;
            Some(calibration.channel(LightChannel::Grey)?.zero_point_mag)
        })
        .collect();
    for pair in zeros.windows(2) {
        let sigma = pair[0].sigma.hypot(pair[1].sigma);
        println!("{:.3} and {:.3}, ± {sigma:.3}", pair[0].value, pair[1].value);
        assert!((pair[0].value - pair[1].value).abs() < 2.0 * sigma);
    }
}

#[test]
fn a_grey_camera_tells_a_line_only_by_a_filter_of_known_width() {
    let Some(solved) = solved(PICTURES[3].name, PICTURES[3].when_where) else { return };
    let [width, height] = solved.frame.stored_size.map(|side| side as f64);
    let kr = |filter: Option<FilterHint>| -> Option<Estimate> {
        let hints = CalibrationHints { filter, ..CalibrationHints::default() };
        let calibration = calibrate(&solved.frame, &solved.field, &solved.lens, &hints);
        println!("{:?}", calibration.as_ref().map(|calibration| &calibration.notes));
        calibration.ok()?.green_kr(100.0, 1.0, [0.5 * width, 0.5 * height])
    };
    assert!(kr(None).is_none());
    assert!(kr(Some(FilterHint { wavelength_nm: 557.7, width_nm: None })).is_none());
    assert!(kr(Some(FilterHint { wavelength_nm: 844.6, width_nm: Some(2.0) })).is_none());
    let [narrow, wide] =
        [2.0, 4.0].map(|width| kr(Some(FilterHint { wavelength_nm: 558.0, width_nm: Some(width) })).unwrap().value);
    // twice the band passes twice the starlight and as much of the line: the same excess is twice the light
    assert!((wide / narrow - 2.0).abs() < 0.01, "{narrow} {wide}");
}
