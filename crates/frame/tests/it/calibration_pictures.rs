//! Real star pictures: what stars say of them must be possible.

use frame::{
    Calibration, CalibrationHints, Frame, LensHints, LensSolution, LightChannel, LightMap, Limits, StarField,
    StarSearch, calibrate, find_stars, open, solve_lens,
};
use quantity::GeoPosition;

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
    let map = LightMap::of(&solved.frame).unwrap();
    let cells = calibration.cells(&map, solved.frame.ceiling, None);
    let mut mags: Vec<f32> = cells.mag_arcsec2.iter().copied().filter(|m| m.is_finite()).collect();
    mags.sort_by(f32::total_cmp);
    let mut kr: Vec<f32> = cells.green_kr.iter().copied().filter(|m| m.is_finite()).collect();
    kr.sort_by(f32::total_cmp);
    if let Some(last) = mags.len().checked_sub(1) {
        let at = |v: &[f32], q: f64| v[(v.len() as f64 * q) as usize];
        println!(
            "   sky {:.2} .. {:.2} .. {:.2} mag ({} cells), kR {:.2?}, dark {:?}",
            mags[0], at(&mags, 0.5), mags[last], mags.len(),
            (!kr.is_empty()).then(|| [0.1, 0.5, 0.9, 0.99].map(|q| at(&kr, q))), cells.dark_level
        );
    }
}

#[test]
fn look() {
    let pictures: [(&str, Option<(&str, [f64; 3])>); 12] = [
        ("starfield/2019-07-29T204726_Alt40_Azi-135_Try1.tiff", None),
        ("starfield/2019-07-29T204726_Alt40_Azi45_Try1.tiff", None),
        ("starfield/2019-07-29T204726_Alt60_Azi-45_Try1.tiff", None),
        ("starfield/20180817_0055.fits", Some(("2018-08-17T00:55:00Z", [28.76, -17.89, 2200.0]))),
        ("starfield/20180817_0055.fits", None),
        ("starfield/jan1_g90_e100ms.jpg", None),
        ("starfield/orion_belt.jpg", None),
        ("starfield/orion_trees.jpg", None),
        ("starfield/pleiades.jpg", None),
        ("allsky_colour/LYR-Sony-111220_200933.jpg", Some(("2020-12-11T20:09:33Z", [78.148, 16.043, 520.0]))),
        ("allsky_colour/LYR-Sony-20241229_203300.jpg", Some(("2024-12-29T20:33:00Z", [78.148, 16.043, 520.0]))),
        ("allsky_mono/PKR_DASC_0558_20151007_082351.743.FITS", Some(("2015-10-07T08:23:51Z", [65.126, -147.479, 200.0]))),
    ];
    for (name, when) in pictures {
        let Ok(Some(solved)) = std::panic::catch_unwind(|| solved(name, when)) else { println!("{name}: not solved"); continue };
        match calibrate(&solved.frame, &solved.field, &solved.lens, &CalibrationHints::of(&solved.frame.metadata)) {
            Ok(calibration) => print(name, &solved, &calibration),
            Err(failure) => println!("{name}: {failure}"),
        }
    }
}
