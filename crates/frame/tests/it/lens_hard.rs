//! Harder skies: bands of aurora, rows of lamps, crowds, hints that are wrong. Some are not solved; none may be solved wrongly.
//!
//! `QUIETARC_LENS_SKIES` sets how many are drawn; the numbers in `docs/measuring.md` are of several hundred.

use frame::{LensHints, LensModel, StarField, solve_lens};

use crate::drawn_sky::{Dice, Faults, Lens, Truth, draw, field_of};
use crate::lens_sky::{LENSES, errors, skies};

/// Skies drawn of each kind unless told otherwise.
const SKIES: u64 = 12;

/// False lights of one kind added to a field.
fn with_lights(field: &StarField, lights: &[[f64; 3]]) -> StarField {
    let size = field.size_px.map(|side| u32::try_from(side).unwrap());
    let stars = field.stars.iter().map(|star| [star.x_px, star.y_px, star.flux]);
    let inside = |[x, y, _]: &[f64; 3]| *x >= 0.0 && *y >= 0.0 && *x < f64::from(size[0]) && *y < f64::from(size[1]);
    let places: Vec<[f64; 3]> = stars.chain(lights.iter().copied().filter(inside)).collect();
    field_of(size, &places)
}

fn side(field: &StarField) -> [f64; 2] {
    field.size_px.map(|side| side as f64)
}

/// A number from `least` to below `least + range`.
fn some(least: u32, range: u32, dice: &mut Dice) -> u32 {
    let share = dice.next();
    least + (0..range).take_while(|step| f64::from(step + 1) / f64::from(range) < share).map(|_| 1).sum::<u32>()
}

/// Knots along curved bands, as a finder sees them on an aurora.
fn aurora(field: &StarField, dice: &mut Dice) -> StarField {
    let [width, height] = side(field);
    let mut lights = Vec::new();
    for _ in 0..some(1, 3, dice) {
        let (y, slope, bend) = (height * dice.next(), 0.4 * dice.gauss(), 0.3 * height * dice.gauss());
        for _ in 0..some(15, 40, dice) {
            let along = dice.next();
            let across = y + slope * width * (along - 0.5) + bend * (along - 0.5).powi(2) + 6.0 * dice.gauss();
            lights.push([width * along, across, 10f64.powf(-0.4 * (2.0 + 4.0 * dice.next()))]);
        }
    }
    with_lights(field, &lights)
}

/// Lamps of a street and windows of a house, all as bright as the brightest stars, evenly spaced, in the lower third.
fn lamps(field: &StarField, dice: &mut Dice) -> StarField {
    let [width, height] = side(field);
    let mut lights = Vec::new();
    for _ in 0..some(1, 3, dice) {
        let (x, y) = (width * dice.next(), height * (0.7 + 0.3 * dice.next()));
        let (dx, dy) = (20.0 + 60.0 * dice.next(), 6.0 * dice.gauss());
        for i in 0..some(8, 14, dice) {
            let along = f64::from(i);
            lights.push([x + along * dx + 0.5 * dice.gauss(), y + along * dy, 10f64.powf(-0.4 * (1.5 * dice.next()))]);
        }
    }
    // the ground hides the stars behind it
    let mut field = field.clone();
    let ground = height * (0.65 + 0.1 * dice.next());
    field.stars.retain(|star| star.y_px < ground);
    with_lights(&field, &lights)
}

/// A band of faint stars of no catalogue, as dense again as all others: the Milky Way.
fn crowd(field: &StarField, dice: &mut Dice) -> StarField {
    let [width, height] = side(field);
    let (sin, cos) = (3.1 * dice.next()).sin_cos();
    let faintest = field.stars.iter().map(|star| star.flux).fold(f64::INFINITY, f64::min);
    let lights: Vec<[f64; 3]> = (0..field.stars.len())
        .map(|_| {
            let (along, across) = (width * (dice.next() - 0.5) * 1.4, 0.08 * width * dice.gauss());
            let place = [0.5 * width + along * cos - across * sin, 0.5 * height + along * sin + across * cos];
            [place[0], place[1], faintest * (0.7 + 1.5 * dice.next())]
        })
        .collect();
    with_lights(field, &lights)
}

type Spoilt = fn(&StarField, &mut Dice) -> StarField;
type Known = fn(&Lens, &Truth, &mut Dice) -> LensHints;

fn nothing(_: &Lens, _: &Truth, _: &mut Dice) -> LensHints {
    LensHints::default()
}

/// A focal length that is wrong, as that of a picture that was cut.
fn wrong_focal(lens: &Lens, _: &Truth, dice: &mut Dice) -> LensHints {
    let off = if dice.next() < 0.5 { 0.6 } else { 1.5 };
    LensHints { focal_px: Some([0.92 * off * lens.focal_px, 1.08 * off * lens.focal_px]), ..LensHints::default() }
}

/// The profile of another lens, or of the same turned in a mirror.
fn wrong_lens(lens: &Lens, truth: &Truth, dice: &mut Dice) -> LensHints {
    let mirrored = (dice.next() < 0.5) != lens.mirrored;
    let focal_px = if mirrored == lens.mirrored { 1.0 + 0.3 * dice.next() } else { 1.0 } * lens.focal_px;
    let model = LensModel {
        projection: lens.projection,
        focal_px,
        centre_px: truth.camera.centre_px,
        k1: 0.05 * dice.gauss(),
        k2: 0.0,
        mirrored,
        pixel_aspect: 1.0,
    };
    LensHints { lens: Some(model), ..LensHints::default() }
}

/// Skies of one kind; how many are solved.
fn hard(name: &str, seed: u64, faults: &Faults, spoil: Spoilt, hints: Known) -> f64 {
    let (mut right, all) = (0, skies(SKIES));
    for sky in 0..all {
        let mut dice = Dice::new(seed + sky);
        let lens = &LENSES[usize::try_from(sky).unwrap() % LENSES.len()];
        let (field, truth) = draw(lens, faults, &mut dice);
        let field = spoil(&field, &mut dice);
        if let Ok(found) = solve_lens(&field, &hints(lens, &truth, &mut dice)) {
            let off = errors(&found, &truth);
            let fits = off[0] < 1.0 && off[1] < 1.0 && off[2] < 0.03;
            assert!(
                fits && found.mirrored == lens.mirrored,
                "wrong: {name} {} sky {sky}: {off:?} {found:?}",
                lens.name
            );
            right += 1;
        }
    }
    println!("{name}: {right} of {all} solved, none wrong");
    f64::from(right) / all as f64
}

const STARS: Faults = Faults { missing: 0.2, false_share: 0.1, noise_px: 0.35, stars: 110 };
const MANY: Faults = Faults { missing: 0.2, false_share: 0.05, noise_px: 0.35, stars: 260 };
const THIRD: Faults = Faults { missing: 0.3, false_share: 0.3, noise_px: 0.5, stars: 70 };
const FEW: Faults = Faults { missing: 0.2, false_share: 0.4, noise_px: 0.3, stars: 22 };

#[test]
fn skies_behind_aurora_are_never_solved_wrongly() {
    assert!(hard("aurora", 400_000, &STARS, aurora, nothing) > 0.5);
}

#[test]
fn skies_over_lamps_are_never_solved_wrongly() {
    assert!(hard("lamps", 410_000, &STARS, lamps, nothing) > 0.5);
}

#[test]
fn crowded_skies_are_never_solved_wrongly() {
    assert!(hard("crowd", 420_000, &MANY, crowd, nothing) > 0.5);
}

#[test]
fn blurred_skies_with_a_third_of_false_stars_are_never_solved_wrongly() {
    assert!(hard("a third false", 430_000, &THIRD, |field, _| field.clone(), nothing) > 0.5);
}

#[test]
fn skies_of_few_stars_are_never_solved_wrongly() {
    hard("few", 440_000, &FEW, |field, _| field.clone(), nothing);
    hard("few, aurora", 450_000, &FEW, aurora, nothing);
}

#[test]
fn wrong_hints_do_no_harm() {
    assert!(hard("wrong focal length", 460_000, &STARS, |field, _| field.clone(), wrong_focal) > 0.5);
    hard("wrong focal length, few", 465_000, &FEW, |field, _| field.clone(), wrong_focal);
    assert!(hard("wrong lens", 470_000, &STARS, |field, _| field.clone(), wrong_lens) > 0.5);
    hard("wrong lens, few", 480_000, &FEW, |field, _| field.clone(), wrong_lens);
}
