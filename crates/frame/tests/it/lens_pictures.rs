//! Real pictures against lens solutions made with other programs.

use frame::{Frame, LensHints, LensSolution, Limits, StarSearch, find_stars, open_stack, solve_lens_on};
use quantity::{GeoPosition, Horizontal, angular_separation_deg};

use crate::pictures::picture;
use crate::spread::{Row, rows};

/// Tolerances of the table.
const CENTRE_DEG: f64 = 1.0;
const ROLL_DEG: f64 = 1.0;
const WIDTH_SHARE: f64 = 0.03;
/// Share of the solved pictures of the table that must be solved without a word about them, and with time and place.
const LEAST_BLIND: f64 = 0.8;
const LEAST_WITH_TIME: f64 = 0.95;

/// Stitched from several pictures: must be refused.
const PANORAMA: &str = "aurora_photo/Fig7b_SAR-LesLadbrook.jpg";

/// Time and place of pictures whose files do not say them: by their names, and the sites from memory.
const NAMED: [(&str, &str, [f64; 2]); 5] = [
    ("allsky_colour/LYR-Sony-20241229_203300.jpg", "2024-12-29T20:33:00Z", [78.148, 16.043]),
    ("allsky_colour/LYR-Sony-20241113_230000.jpg", "2024-11-13T23:00:00Z", [78.148, 16.043]),
    ("allsky_colour/LYR-Sony-111220_200933.jpg", "2020-12-11T20:09:33Z", [78.148, 16.043]),
    ("allsky_colour/20211030_060500_149606_gill_rgb-04_320ms_burst.png", "2021-10-30T06:05:00Z", [56.354, -94.656]),
    ("starfield/20180817_0055.fits", "2018-08-17T00:55:00Z", [28.762, -17.891]),
];

fn frame(name: &str) -> Option<Frame> {
    Some(open_stack(&picture(name)?, &Limits::default()).ok()?.frame)
}

/// What a file and its name say.
fn known(name: &str, frame: &Frame) -> LensHints {
    let metadata = &frame.metadata;
    let named = NAMED.iter().find(|(named, ..)| *named == name);
    LensHints {
        pixel_aspect: metadata.pixel_aspect,
        taken_at: named
            .and_then(|(_, at, _)| at.parse().ok())
            .or_else(|| metadata.taken.as_ref().and_then(frame::TakenAt::utc)),
        place: named.and_then(|(_, _, [lat, lon])| GeoPosition::new(*lat, *lon, 0.0).ok()).or(metadata.position),
        ..LensHints::default()
    }
}

/// Errors of centre and roll in degrees, and of the width as a share.
fn errors(found: &LensSolution, row: &Row) -> Option<[f64; 3]> {
    let ra_deg = row.maybe("ra_deg")?;
    let [dec_deg, roll_deg, width_deg] = ["dec_deg", "roll_deg", "width_deg"].map(|column| row.number(column));
    let off_deg = angular_separation_deg(
        Horizontal::new(dec_deg, ra_deg).east_north_up(),
        Horizontal::new(found.dec_deg, found.ra_deg).east_north_up(),
    );
    let turned = (found.ra_deg - ra_deg) * dec_deg.to_radians().sin();
    let roll_off = (found.roll_deg - roll_deg + turned + 540.0).rem_euclid(360.0) - 180.0;
    Some([off_deg, roll_off.abs(), (found.field_deg[0] / width_deg - 1.0).abs()])
}

/// Share of the table's pictures solved; none wrongly.
fn solved(hints: impl Fn(&str, &Frame) -> LensHints) -> Option<f64> {
    let (mut of, mut right) = (0, 0);
    for row in rows(include_str!("../data/lens_solutions.csv")) {
        let name = row.text("file");
        let Some(frame) = frame(name) else { continue };
        let plane = frame.plane(optics::Channel::Green).unwrap();
        let known = row.text("solved") == "yes";
        of += u32::from(known);
        let field = find_stars(&plane, &StarSearch::default());
        let found = solve_lens_on(&plane, &field, &hints(name, &frame));
        let found = match found {
            Ok(found) => found,
            Err(failure) => {
                println!("{name}: {} stars: {failure}", field.stars.len());
                continue;
            }
        };
        println!(
            "{name}: {:?} f {:.1} px, {} stars, rms {:.2} px, chance 1e{:.0}, field {:.1?}",
            found.model.projection,
            found.model.focal_px,
            found.matched,
            found.residual_px,
            found.log10_chance,
            found.field_deg
        );
        assert!(name != PANORAMA, "{name} is no picture of one lens: {found:?}");
        assert!(row.text("solved") != "no_stars", "{name} shows no stars: {found:?}");
        let Some(off) = errors(&found, &row) else { continue };
        println!("   centre, roll, width off by {off:.3?}");
        assert!(off[0] < CENTRE_DEG && off[1] < ROLL_DEG && off[2] < WIDTH_SHARE, "{name}: {found:?}");
        assert_eq!(found.mirrored, row.text("mirrored") == "yes", "{name}");
        right += u32::from(known);
    }
    println!("{right} of {of} right, none wrong");
    (of > 0).then(|| f64::from(right) / f64::from(of))
}

#[test]
fn real_pictures_are_solved_as_other_programs_did() {
    if let Some(share) = solved(|_, _| LensHints::default()) {
        assert!(share >= LEAST_BLIND, "{share}");
    }
}

#[test]
fn real_pictures_with_time_and_place_are_all_solved() {
    if let Some(share) = solved(known) {
        assert!(share >= LEAST_WITH_TIME, "{share}");
    }
}
