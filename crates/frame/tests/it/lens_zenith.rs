//! All-sky pictures with time and place.

use frame::{LensHints, Limits, StarSearch, find_stars, image_circle, open_stack, solve_lens};
use quantity::GeoPosition;

use crate::pictures::picture;

const FRAMES: [(&str, Option<(&str, f64, f64)>); 12] = [
    ("allsky_mono/20130205_0500_rabb_rainbow-08_full.pgm.gz", None),
    ("allsky_mono/20130205_0501_rabb_rainbow-08_full.pgm.gz", None),
    ("allsky_mono/20220307_0600_gill_nir-216_8446.pgm.gz", None),
    ("allsky_mono/20140310_0600_gill_themis19_full.pgm.gz", None),
    ("allsky_mono/PKR_DASC_0428_20151007_082355.961.FITS", None),
    ("allsky_mono/PKR_DASC_0558_20151007_082351.743.FITS", None),
    ("allsky_colour/LYR-Sony-20241229_203300.jpg", Some(("2024-12-29T20:33:00Z", 78.148, 16.043))),
    ("allsky_colour/LYR-Sony-20241113_230000.jpg", Some(("2024-11-13T23:00:00Z", 78.148, 16.043))),
    ("allsky_colour/LYR-Sony-111220_200933.jpg", Some(("2020-12-11T20:09:33Z", 78.148, 16.043))),
    (
        "allsky_colour/20211030_060500_149606_gill_rgb-04_320ms_burst.png",
        Some(("2021-10-30T06:05:00Z", 56.3539, -94.6557)),
    ),
    ("starfield/20180817_0055.fits", Some(("2018-08-17T00:55:00Z", 28.7619, -17.8907))),
    ("starfield/starry.fits", Some(("2017-05-03T03:12:04Z", -89.99, -63.45))),
];

#[test]
fn all_sky_pictures_are_solved_from_the_zenith() {
    for (name, given) in FRAMES {
        let Some(bytes) = picture(name) else { continue };
        let stack = open_stack(&bytes, &Limits::default()).unwrap();
        let frame = stack.frame;
        let plane = frame.luminance().unwrap();
        let field = find_stars(&plane, &StarSearch::default());
        let metadata = &frame.metadata;
        let circle = image_circle(&plane);
        let place = given.map_or(metadata.position, |(_, lat, lon)| GeoPosition::new(lat, lon, 0.0).ok());
        let taken_at = given.map_or(metadata.taken.as_ref().and_then(|t| t.utc()), |(time, ..)| time.parse().ok());
        println!(
            "{name}: {} pictures, {:?}, {} stars, {:?}, {taken_at:?} {place:?} aspect {:?}",
            stack.count,
            frame.stored_size,
            field.stars.len(),
            circle,
            metadata.pixel_aspect
        );
        let hints =
            LensHints { image_circle: circle, pixel_aspect: metadata.pixel_aspect, taken_at, place, ..LensHints::default() };
        let began = std::time::Instant::now();
        match solve_lens(&field, &hints) {
            Ok(s) => println!(
                "   {:?} matched {} rms {:.2} chance {:.0} ra {:.2} dec {:.2} roll {:.2} alt {:?} {:?}",
                s.model, s.matched, s.residual_px, s.log10_chance, s.ra_deg, s.dec_deg, s.roll_deg, s.alt_deg, began.elapsed()
            ),
            Err(failure) => println!("   {failure} {:?}", began.elapsed()),
        }
    }
}
