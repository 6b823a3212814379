//! Real pictures against lens solutions made with other programs.

use frame::{Frame, LensHints, LensSolution, Limits, StarSearch, find_stars, open_stack, solve_lens_on};
use quantity::{GeoPosition, Horizontal, angular_separation_deg};

use crate::drawn_sky::Dice;
use crate::pictures::{picture, pictures};
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
    let east = (found.ra_deg - ra_deg + 540.0).rem_euclid(360.0) - 180.0;
    let turned = east * dec_deg.to_radians().sin();
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

/// Sunsets, roads, waterfalls, a rendering with hundreds of dots, broken files: no sky, not even by points of light.
#[test]
fn pictures_of_other_things_have_no_lens() {
    for folder in ["reject", "raw_exif", "trick_art", "corrupt"] {
        for (name, bytes) in pictures(folder) {
            let Ok(stack) = open_stack(&bytes, &Limits::default()) else { continue };
            let plane = stack.frame.plane(optics::Channel::Green).unwrap();
            let field = find_stars(&plane, &StarSearch::default());
            let hints = LensHints {
                taken_at: "2024-12-29T20:33:00Z".parse().ok(),
                place: GeoPosition::new(78.148, 16.043, 0.0).ok(),
                ..LensHints::default()
            };
            let found = solve_lens_on(&plane, &field, &hints);
            assert!(found.is_err(), "{folder}/{name}: {found:?}");
        }
    }
}

/// A disc of noise in steps, with hot pixels and soft patches, as a coarse camera under cloud makes it.
#[test]
fn a_disc_of_noise_has_no_lens() {
    const SIDE: usize = 300;
    for seed in 0..6 {
        let mut dice = Dice::new(520_000 + seed);
        let mut samples = vec![0.0f32; SIDE * SIDE];
        let patches: Vec<[f64; 3]> =
            (0..40).map(|_| [300.0 * dice.next(), 300.0 * dice.next(), 4.0 + 20.0 * dice.next()]).collect();
        for (i, sample) in samples.iter_mut().enumerate() {
            let (x, y) = ((i % SIDE) as f64, (i / SIDE) as f64);
            let inside = (x - 149.5).hypot(y - 149.5) < 140.0;
            let glow: f64 = patches.iter().map(|[px, py, r]| (-0.5 * ((x - px).hypot(y - py) / r).powi(2)).exp()).sum();
            let hot = if dice.next() < 0.003 { 60.0 * dice.next() } else { 0.0 };
            let light = if inside { 60.0 + 8.0 * glow + 3.0 * dice.gauss() } else { 10.0 + dice.gauss() } + hot;
            #[expect(clippy::cast_possible_truncation, reason = "some hundreds")]
            let step = light.round() as f32;
            *sample = step;
        }
        let plane = frame::Plane::new(SIDE, SIDE, samples).unwrap();
        let field = find_stars(&plane, &StarSearch::default());
        let hints = LensHints {
            taken_at: "2022-03-07T06:00:00Z".parse().ok(),
            place: GeoPosition::new(56.4, -94.6, 0.0).ok(),
            ..LensHints::default()
        };
        assert!(frame::image_circle(&plane).is_some(), "{seed}");
        let found = solve_lens_on(&plane, &field, &hints);
        assert!(found.is_err(), "{seed}: {found:?}");
    }
}

#[test]
fn the_edge_of_a_fisheye_is_where_it_was_drawn() {
    for (width, height, rx, ry) in [(600, 400, 190.0, 190.0), (500, 250, 230.0, 115.0), (640, 640, 300.0, 310.0)] {
        let middle = [0.5 * f64::from(width) + 8.0, 0.5 * f64::from(height) - 3.0];
        let mut dice = Dice::new(9);
        let light = |x: f64, y: f64, noise: f64| {
            let r = ((x - middle[0]) / rx).hypot((y - middle[1]) / ry);
            let sky = if r < 1.0 { 500.0 * (1.0 - 0.4 * r * r) } else { 0.0 };
            // a hill in the lower left
            if x < 0.3 * f64::from(width) && y > 0.75 * f64::from(height) { 30.0 + noise } else { 30.0 + sky + noise }
        };
        let samples = (0..width * height).map(|i| {
            #[expect(clippy::cast_possible_truncation, reason = "some hundreds")]
            let sample = light(f64::from(i % width), f64::from(i / width), 5.0 * dice.gauss()) as f32;
            sample
        });
        let sides = [width, height].map(|side| usize::try_from(side).unwrap());
        let plane = frame::Plane::new(sides[0], sides[1], samples.collect()).unwrap();
        let circle = frame::image_circle(&plane).unwrap();
        let off = [circle.centre_px[0] - middle[0], circle.centre_px[1] - middle[1]];
        assert!(off[0].hypot(off[1]) < 0.02 * rx, "{circle:?}");
        assert!(
            (circle.radii_px[0] / rx - 1.0).abs() < 0.03 && (circle.radii_px[1] / ry - 1.0).abs() < 0.03,
            "{circle:?}"
        );
    }
    // an evenly lit plane has no edge
    let even = frame::Plane::new(300, 200, vec![100.0; 60_000]).unwrap();
    assert_eq!(frame::image_circle(&even), None);
}
