//! Drawn skies through known lenses: how many are solved, and that none is solved wrongly.

use frame::{LensFailure, LensHints, LensSolution, solve_lens};
use optics::Projection;

use crate::drawn_sky::{Dice, Faults, Lens, Truth, draw, field_of};

/// Tolerances of an answer: those asked of the real pictures.
const CENTRE_DEG: f64 = 1.0;
const ROLL_DEG: f64 = 1.0;
const WIDTH_SHARE: f64 = 0.03;

pub(crate) const SIZE: [u32; 2] = [1936, 1288];
const PLAIN: Lens = Lens {
    name: "rectilinear 74 deg",
    projection: Projection::Rectilinear,
    size: SIZE,
    focal_px: 1543.0,
    shift: [0.0, 0.0],
    k: [0.0, 0.0],
    mirrored: false,
    edge_deg: 89.0,
};
pub(crate) const LENSES: [Lens; 10] = [
    Lens { name: "rectilinear 12 deg", focal_px: 11_000.0, ..PLAIN },
    Lens { name: "rectilinear 35 deg", focal_px: 3_690.0, ..PLAIN },
    PLAIN,
    Lens { name: "rectilinear 84 deg, k1 -0.08", focal_px: 1_291.0, k: [-0.08, 0.0], ..PLAIN },
    Lens {
        name: "rectilinear 104 deg, k1 -0.03, mirrored",
        focal_px: 908.0,
        k: [-0.03, 0.004],
        mirrored: true,
        ..PLAIN
    },
    Lens {
        name: "rectilinear 90 deg, axis moved by 18 % and 12 %",
        focal_px: 1_163.0,
        shift: [350.0, -150.0],
        ..PLAIN
    },
    Lens {
        name: "equidistant, 140 deg over the diagonal",
        projection: Projection::Equidistant,
        focal_px: 951.0,
        k: [-0.01, 0.0],
        ..PLAIN
    },
    Lens { name: "equisolid, 180 deg over the diagonal", projection: Projection::Equisolid, focal_px: 822.0, ..PLAIN },
    Lens {
        name: "equidistant circle of 180 deg",
        projection: Projection::Equidistant,
        size: [1600, 1600],
        focal_px: 480.0,
        shift: [12.0, -20.0],
        k: [-0.03, 0.0],
        mirrored: true,
        edge_deg: 85.0,
    },
    Lens {
        name: "stereographic, 150 deg over the diagonal",
        projection: Projection::Stereographic,
        focal_px: 757.0,
        ..PLAIN
    },
];

/// How many skies of a kind are drawn: as `QUIETARC_LENS_SKIES` says, or so many.
#[expect(clippy::disallowed_methods, reason = "the crate takes arguments; its tests may be told to do more")]
pub(crate) fn skies(otherwise: u64) -> u64 {
    std::env::var("QUIETARC_LENS_SKIES").ok().and_then(|number| number.parse().ok()).unwrap_or(otherwise)
}

/// Errors of centre and roll in degrees and of the width as a share.
pub(crate) fn errors(found: &LensSolution, truth: &Truth) -> [f64; 3] {
    let separation = quantity::angular_separation_deg(
        quantity::Horizontal::new(found.dec_deg, found.ra_deg).east_north_up(),
        quantity::Horizontal::new(truth.dec_deg, truth.ra_deg).east_north_up(),
    );
    // near a pole the position angle turns with the right ascension
    let east = (found.ra_deg - truth.ra_deg + 540.0).rem_euclid(360.0) - 180.0;
    let turned = east * truth.dec_deg.to_radians().sin();
    let roll = (found.roll_deg - truth.roll_deg + turned + 540.0).rem_euclid(360.0) - 180.0;
    let width = truth.camera.field_of_view_deg().horizontal_deg.min(180.0);
    [separation, roll.abs(), (found.field_deg[0] / width - 1.0).abs()]
}

/// Solves some skies of each lens; the share solved, none wrong.
fn solved(faults: &Faults, skies: u64, seed: u64, hints: impl Fn(&Lens) -> LensHints) -> f64 {
    let (mut all, mut right) = (0, 0);
    for (kind, lens) in LENSES.iter().enumerate() {
        let (mut own, mut worst) = (0, [0.0f64; 3]);
        for sky in 0..skies {
            let mut dice = Dice::new(seed + 1_000 * kind as u64 + sky);
            let (field, truth) = draw(lens, faults, &mut dice);
            all += 1;
            if let Ok(found) = solve_lens(&field, &hints(lens)) {
                let off = errors(&found, &truth);
                let fits = off[0] < CENTRE_DEG && off[1] < ROLL_DEG && off[2] < WIDTH_SHARE;
                assert!(fits && found.mirrored == lens.mirrored, "wrong: {} sky {sky}: {off:?} {found:?}", lens.name);
                own += 1;
                worst = [0, 1, 2].map(|i: usize| worst[i].max(off[i]));
            }
        }
        right += own;
        println!("{}: {own} of {skies}; worst centre, roll, width {worst:.3?}", lens.name);
    }
    f64::from(right) / f64::from(all)
}

const ORDINARY: Faults = Faults { missing: 0.15, false_share: 0.1, noise_px: 0.3, stars: 150 };
const POOR: Faults = Faults { missing: 0.15, false_share: 0.3, noise_px: 0.3, stars: 60 };

#[test]
fn skies_without_a_hint_are_solved_and_none_wrongly() {
    let share = solved(&ORDINARY, 8, 1, |_| LensHints::default());
    println!("solved {share:.3}");
    assert!(share > 0.9, "{share}");
}

#[test]
fn poor_skies_without_a_hint_are_never_solved_wrongly() {
    let share = solved(&POOR, 8, 50_000, |_| LensHints::default());
    println!("solved {share:.3}");
    assert!(share > 0.5, "{share}");
}

#[test]
fn a_focal_length_known_to_eight_per_cent_helps() {
    let hints = |lens: &Lens| LensHints {
        focal_px: Some([0.92 * lens.focal_px, 1.08 * lens.focal_px]),
        ..LensHints::default()
    };
    let share = solved(&ORDINARY, 6, 90_000, hints);
    println!("solved {share:.3}");
    assert!(share > 0.9, "{share}");
}

#[test]
fn places_by_chance_are_no_sky() {
    for seed in 0..8u64 {
        let mut dice = Dice::new(7_000_000 + seed);
        let count = 10 + 60 * seed;
        let places: Vec<[f64; 3]> = (0..count)
            .map(|_| [1936.0 * dice.next(), 1288.0 * dice.next(), dice.next().max(1e-3).powf(-1.5)])
            .collect();
        let found = solve_lens(&field_of(SIZE, &places), &LensHints::default());
        assert!(matches!(found, Err(LensFailure::NothingFits { .. })), "{seed}: {found:?}");
    }
}

/// Lamps along streets: rows of lights at even distances with some scatter.
#[test]
fn lamps_are_no_sky() {
    for seed in 0..10u64 {
        let mut dice = Dice::new(8_000_000 + seed);
        let mut places = Vec::new();
        for _ in 0..2 + seed % 7 {
            let (x, y) = (1936.0 * dice.next(), 1288.0 * dice.next());
            let (dx, dy) = (60.0 * dice.gauss(), 20.0 * dice.gauss());
            for i in 0..25 {
                let along = f64::from(i);
                let place = [x + along * dx + dice.gauss(), y + along * dy + dice.gauss()];
                if (0.0..1936.0).contains(&place[0]) && (0.0..1288.0).contains(&place[1]) {
                    places.push([place[0], place[1], 1.0 + dice.next()]);
                }
            }
        }
        let found = solve_lens(&field_of(SIZE, &places), &LensHints::default());
        assert!(found.is_err(), "{seed}: {found:?}");
    }
}

#[test]
fn few_places_are_refused_with_a_reason() {
    let found = solve_lens(&field_of(SIZE, &[[10.0, 10.0, 1.0], [50.0, 80.0, 1.0]]), &LensHints::default());
    let failure = found.unwrap_err();
    assert!(matches!(failure, LensFailure::TooFewStars { found: 2, .. }));
    assert!(!failure.hint().is_empty());
}

/// Places that are no places, all stars in one place, and hints that no camera has: an answer or a reason, never a panic.
#[test]
fn absurd_fields_and_hints_are_answered() {
    let mut dice = Dice::new(3);
    let (field, _) = draw(&LENSES[2], &ORDINARY, &mut dice);
    let mut broken = field.clone();
    for star in broken.stars.iter_mut().step_by(3) {
        (star.x_px, star.flux) = (f64::NAN, f64::INFINITY);
    }
    let heap = field_of(SIZE, &[[700.0, 500.0, 1.0]; 40]);
    let line = field_of(SIZE, &std::array::from_fn::<_, 60, _>(|i| [30.0 * i as f64, 644.0, 1.0]));
    let ranges = [None, Some([f64::NAN, 3.0]), Some([0.0, 0.0]), Some([1e300, 1e-300]), Some([1e-9, 1e9])];
    for focal_px in ranges {
        let hints = LensHints { focal_px, ..LensHints::default() };
        for field in [&broken, &heap, &line] {
            if let Ok(found) = solve_lens(field, &hints) {
                assert!(found.residual_px.is_finite() && found.sky_of([1e9, -1e9]).is_none_or(|s| s[0].is_finite()));
            }
        }
        assert!(solve_lens(&heap, &hints).is_err() && solve_lens(&line, &hints).is_err());
    }
    // an impossible range is no hint
    let impossible = LensHints { focal_px: Some([f64::NAN, 3.0]), ..LensHints::default() };
    assert!(solve_lens(&field, &impossible).is_ok());
}

#[test]
fn a_pixel_and_its_direction_belong_together() {
    let (field, truth) = draw(&LENSES[4], &ORDINARY, &mut Dice::new(12));
    let found = solve_lens(&field, &LensHints::default()).unwrap();
    for pixel in [[100.0, 100.0], [967.0, 643.0], [1900.0, 1200.0]] {
        let [ra_deg, dec_deg] = found.sky_of(pixel).unwrap();
        let back = found.pixel_of_sky(ra_deg, dec_deg).unwrap();
        assert!((back[0] - pixel[0]).hypot(back[1] - pixel[1]) < 1e-6);
        // the picture is mirrored: the camera of the truth saw this pixel on its other side
        let there = truth.camera.direction_of([1935.0 - pixel[0], pixel[1]]).unwrap();
        let apart = quantity::angular_separation_deg(
            quantity::Horizontal::new(dec_deg, -ra_deg).east_north_up(),
            there.east_north_up(),
        );
        assert!(apart < 0.05, "{pixel:?}: {apart}");
    }
    assert!(found.pairs.iter().all(|pair| sky::catalogue().star(pair.hip).is_some()));
    assert_eq!(found.pairs.len(), found.matched);
}

/// Stitched pictures on a cylinder, `x = f a, y = -f tan h`, 200 degrees wide: no one lens is right over all of them.
#[test]
fn panoramas_are_refused() {
    const FOCAL_PX: f64 = 860.0;
    const PANORAMA: [u32; 2] = [3_000, 900];
    for seed in 0..4u64 {
        let mut dice = Dice::new(9_000_000 + seed);
        let (sin, cos) = (std::f64::consts::TAU * dice.next()).sin_cos();
        let start = std::f64::consts::TAU * dice.next();
        let mut places = Vec::new();
        for star in sky::catalogue().brighter_than(5.0) {
            let direction = quantity::Horizontal::new(star.declination_deg, -star.right_ascension_deg);
            let [x, y, z] = direction.east_north_up();
            let (y, z) = (cos * y - sin * z, sin * y + cos * z);
            let along = FOCAL_PX * (x.atan2(y) - start).rem_euclid(std::f64::consts::TAU);
            let down = 0.5 * f64::from(PANORAMA[1]) - FOCAL_PX * z / x.hypot(y).max(1e-9);
            if along < f64::from(PANORAMA[0]) && (0.0..f64::from(PANORAMA[1])).contains(&down) {
                places.push([along + 0.3 * dice.gauss(), down + 0.3 * dice.gauss(), 10f64.powf(-0.4 * star.v_mag)]);
            }
        }
        let found = solve_lens(&field_of(PANORAMA, &places), &LensHints::default());
        println!("{} stars: {:?}", places.len(), found.as_ref().map(|f| (f.model, f.matched, f.field_deg)));
        assert!(found.is_err(), "{seed}: {found:?}");
    }
}
