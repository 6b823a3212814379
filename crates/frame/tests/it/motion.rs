//! Movement of drawn fields whose trails are known.

use frame::{
    Foreground, Motion, MotionContext, MotionKind, Plane, SkyTurn, StarSearch, Steadiness, TrailKind, find_stars,
    judge_motion, steadiness,
};
use optics::{Camera, Pointing, Projection};

use crate::picture::grey16_png;
use crate::rendered::{Canvas, Dice, gaussian, moffat, places, trail};

const SIZE: [usize; 2] = [600, 400];
const SIGMA: f64 = 1.1;

/// 50 stars, each drawn out by the movement at its place (px).
fn plane(seed: u64, movement: impl Fn([f64; 2]) -> [f64; 2]) -> Plane {
    let mut dice = Dice::new(seed);
    let mut canvas = Canvas::sky(SIZE[0], SIZE[1], 300.0);
    for [x, y, flux] in places(&mut dice, SIZE, 50, 24.0) {
        let [dx, dy] = movement([x, y]);
        canvas.star([x, y], 25_000.0 * flux, 0.5 * dx.hypot(dy) + 6.0, &trail([dx, dy], SIGMA));
    }
    canvas.expose(&mut dice, 3.0, f64::INFINITY)
}

fn judged(plane: &Plane, context: &MotionContext) -> Motion {
    let motion = judge_motion(plane, &find_stars(plane, &StarSearch::default()), context);
    let patterns: Vec<_> = motion.fits.iter().map(|fit| (fit.pattern, fit.information.round())).collect();
    println!(
        "{:?} {:?} {:?} about {:?} turn {:?} {:?} {:?}",
        motion.kind, motion.length_px, motion.angle_deg, motion.about_px, motion.turn_deg, patterns, motion.words
    );
    motion
}

/// A trail's length against what was drawn: the blur is no exact Gaussian once pixels have summed it.
const LENGTH_TOLERANCE: f64 = 0.06;

fn assert_length(motion: &Motion, drawn_px: f64) {
    let length = motion.length_px.unwrap();
    assert!((length.value / drawn_px - 1.0).abs() < LENGTH_TOLERANCE, "{length:?}, drawn {drawn_px}");
}

#[test]
fn round_stars_mean_that_it_held() {
    let motion = judged(&plane(1, |_| [0.0; 2]), &MotionContext::default());
    assert_eq!(motion.kind, MotionKind::Held);
    assert!(motion.length_px.unwrap().high < 1.0);
}

#[test]
fn lengths_are_those_drawn() {
    for (seed, [dx, dy]) in [(2, [2.5, 0.0]), (3, [0.0, 4.0]), (4, [5.0, 5.0]), (5, [-12.0, 6.0])] {
        let motion = judged(&plane(seed, |_| [dx, dy]), &MotionContext::default());
        assert_eq!(motion.kind, MotionKind::SkyOrCamera);
        assert_length(&motion, dx.hypot(dy));
        let turn = (motion.angle_deg.unwrap() - dy.atan2(dx).to_degrees()).rem_euclid(180.0);
        assert!(turn.min(180.0 - turn) < 2.0, "{:?}", motion.angle_deg);
    }
}

#[test]
fn the_trailed_table_has_its_trail() {
    let motion = judged(&grey16_png(include_bytes!("../data/stars_trailed.png")), &MotionContext::default());
    // 6 px at 120 degrees by the table
    assert_length(&motion, 6.0);
    assert!((motion.angle_deg.unwrap() + 60.0).abs() < 1.0);
}

#[test]
fn what_else_is_known_tells_sky_from_camera() {
    let plane = plane(6, |_| [6.0, 2.0]);
    let field = find_stars(&plane, &StarSearch::default());
    let kind = |context: MotionContext| judge_motion(&plane, &field, &context).kind;
    let plain = MotionContext::default();
    assert_eq!(kind(plain), MotionKind::SkyOrCamera);
    assert_eq!(kind(MotionContext { foreground: Foreground::Sharp, ..plain }), MotionKind::Trailing);
    assert_eq!(kind(MotionContext { foreground: Foreground::DrawnOut, ..plain }), MotionKind::Shaken);
    // 2 s at 60" a pixel: the sky moves half a pixel at most
    let short = MotionContext { exposure_s: Some(2.0), pixel_arcsec: Some(60.0), ..plain };
    assert_eq!(kind(short), MotionKind::Shaken);
    let long = MotionContext { exposure_s: Some(30.0), pixel_arcsec: Some(60.0), ..plain };
    assert_eq!(kind(long), MotionKind::SkyOrCamera);
}

/// 20 mm on the small sensor of the drawn frames with pixels ten times the usual, so that the field is wide.
fn camera(azimuth_deg: f64, altitude_deg: f64) -> Camera {
    let pointing = Pointing { azimuth_deg, altitude_deg, roll_deg: 3.0 };
    Camera::centred(Projection::Rectilinear, 20.0, 60.0, [600, 400], pointing)
}

#[test]
fn the_turning_sky_is_known_by_its_pattern() {
    for (azimuth_deg, altitude_deg) in [(0.0, 35.0), (180.0, 30.0), (90.0, 40.0)] {
        let sky = SkyTurn { camera: camera(azimuth_deg, altitude_deg), latitude_deg: 65.0, exposure_s: 240.0 };
        let context = MotionContext { sky: Some(sky), ..MotionContext::default() };
        let trailed = plane(7, |pixel| sky.movement_px(pixel).unwrap());
        let motion = judged(&trailed, &context);
        assert_eq!(motion.kind, MotionKind::Trailing, "{azimuth_deg}");
        assert_length(&motion, {
            let [dx, dy] = sky.movement_px([299.5, 199.5]).unwrap();
            dx.hypot(dy)
        });
        // the same camera shaken instead
        let shaken = judged(&plane(8, |_| [1.0, 7.0]), &context);
        assert_eq!(shaken.kind, MotionKind::Shaken, "{azimuth_deg}");
    }
}

#[test]
fn a_trail_is_short_near_the_pole() {
    let sky = SkyTurn { camera: camera(0.0, 65.0), latitude_deg: 65.0, exposure_s: 240.0 };
    let middle = sky.movement_px([299.5, 199.5]).unwrap();
    assert!(middle[0].hypot(middle[1]) < 1e-6);
    // 240 s are one degree; 100 px from the axis the pole turns stars by 100 px times that in radians
    let off = sky.movement_px([399.5, 199.5]).unwrap();
    assert!((off[0].hypot(off[1]) - 100.0 * (240.0 * 15.041f64 / 3600.0).to_radians()).abs() < 0.02);
    // west is left of north when looking at it with the pole above: the sky turns against the clock, so the right goes up
    assert!(off[1] < 0.0, "{off:?}");
}

#[test]
fn a_roll_is_told_with_its_point() {
    let degrees = 2.0f64;
    let turn = degrees.to_radians();
    let roll = plane(9, |[x, y]| [-(y - 250.0) * turn, (x - 150.0) * turn]);
    let context = MotionContext { exposure_s: Some(5.0), ..MotionContext::default() };
    let motion = judged(&roll, &context);
    assert_eq!(motion.kind, MotionKind::Turned);
    let [x, y] = motion.about_px.unwrap();
    assert!((x - 150.0).abs() < 15.0 && (y - 250.0).abs() < 15.0, "{x} {y}");
    assert!((motion.turn_deg.unwrap() - degrees).abs() < 0.1 * degrees);
    // the same turn is the sky's if the exposure was as long as that takes
    let long = MotionContext { exposure_s: Some(degrees * 3600.0 / 15.041), ..MotionContext::default() };
    assert_eq!(judged(&roll, &long).kind, MotionKind::Trailing);
}

#[test]
fn a_zoom_ring_that_creeps_looks_like_the_lens() {
    let motion = judged(&plane(10, |[x, y]| [0.02 * (x - 299.5), 0.02 * (y - 199.5)]), &MotionContext::default());
    assert_eq!(motion.kind, MotionKind::Lens);
}

#[test]
fn wind_varies_and_trails_do_not() {
    let frame = |seed, v: [f64; 2]| judged(&plane(seed, |_| v), &MotionContext::default());
    let wind = [frame(11, [0.5, 0.0]), frame(12, [4.0, 1.0]), frame(13, [1.0, 5.0]), frame(14, [2.0, -3.0])];
    assert!(
        matches!(steadiness(&wind), Steadiness::Varying { scatter_px } if scatter_px > 2.0),
        "{:?}",
        steadiness(&wind)
    );
    let sky = [frame(15, [4.0, 1.0]), frame(16, [4.0, 1.0]), frame(17, [4.0, 1.0])];
    assert_eq!(steadiness(&sky), Steadiness::Steady);
    assert!(matches!(steadiness(&sky[..2]), Steadiness::CannotTell { usable: 2, needed: 3 }));
}

#[test]
fn few_stars_claim_nothing() {
    let mut dice = Dice::new(18);
    let mut canvas = Canvas::sky(200, 150, 300.0);
    for [x, y, _] in places(&mut dice, [200, 150], 5, 24.0) {
        canvas.star([x, y], 30_000.0, 10.0, &trail([5.0, 0.0], SIGMA));
    }
    let motion = judged(&canvas.expose(&mut dice, 3.0, f64::INFINITY), &MotionContext::default());
    assert_eq!(motion.kind, MotionKind::CannotTell);
}

/// Stars that stood still for a share of the time, then moved evenly (or jumped) to another place.
fn knocked(seed: u64, rest: f64, jump: bool) -> Plane {
    let mut dice = Dice::new(seed);
    let mut canvas = Canvas::sky(SIZE[0], SIZE[1], 300.0);
    let dot = gaussian(SIGMA);
    let tail = trail([8.0, 3.0], SIGMA);
    for [x, y, flux] in places(&mut dice, SIZE, 40, 32.0) {
        let light = |dx: f64, dy: f64| {
            let moved = if jump { dot(dx - 8.0, dy - 3.0) } else { tail(dx - 4.0, dy - 1.5) };
            rest * dot(dx, dy) + (1.0 - rest) * moved
        };
        canvas.star([x, y], 40_000.0 * flux, 16.0, &light);
    }
    canvas.expose(&mut dice, 3.0, f64::INFINITY)
}

#[test]
fn a_knock_is_told_from_the_sky_by_its_trail() {
    let plain = MotionContext::default();
    for (seed, rest) in [(31, 0.5), (32, 0.35)] {
        let motion = judged(&knocked(seed, rest, true), &plain);
        assert_eq!(motion.kind, MotionKind::Shaken);
        let [dx, dy] = motion.second_image_px.unwrap();
        assert!((dx - 8.0).hypot(dy - 3.0) < 0.5, "{dx} {dy}");
    }
    let uneven = judged(&knocked(33, 0.6, false), &plain);
    assert_eq!(uneven.trail.as_ref().map(|trail| trail.kind), Some(TrailKind::Uneven), "{:?}", uneven.trail);
    assert_eq!(uneven.kind, MotionKind::Shaken);
    let even = judged(&plane(34, |_| [8.0, 3.0]), &plain);
    assert_eq!(even.trail.as_ref().map(|trail| trail.kind), Some(TrailKind::Even));
    assert_eq!(even.kind, MotionKind::SkyOrCamera);
    let table = judged(&grey16_png(include_bytes!("../data/stars_trailed.png")), &plain);
    assert_eq!(table.trail.map(|trail| trail.kind), Some(TrailKind::Even));
}

#[test]
fn wings_do_not_make_a_trail_uneven() {
    let mut dice = Dice::new(41);
    let mut canvas = Canvas::sky(SIZE[0], SIZE[1], 300.0);
    let dot = moffat(2.4, 2.5);
    let light = |dx: f64, dy: f64| {
        (0..16).map(|i| 6.0 * ((f64::from(i) + 0.5) / 16.0 - 0.5)).map(|s| dot(dx - s, dy) / 16.0).sum()
    };
    for [x, y, flux] in places(&mut dice, SIZE, 40, 32.0) {
        canvas.star([x, y], 40_000.0 * flux, 20.0, &light);
    }
    let motion = judged(&canvas.expose(&mut dice, 3.0, f64::INFINITY), &MotionContext::default());
    assert_eq!(motion.trail.as_ref().map(|trail| trail.kind), Some(TrailKind::Even), "{:?}", motion.trail);
    // wings lengthen and widen the moments alike, so that the trail reads a little long
    assert!((motion.length_px.unwrap().value / 6.0 - 1.0).abs() < 0.15, "{:?}", motion.length_px);
}
