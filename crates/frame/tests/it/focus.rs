//! Focus of drawn fields whose blur is known.

use frame::{
    Focus, FocusPoint, FocusReference, FocusSeries, FocusState, LensDirection, Plane, StarSearch, best_focus,
    find_stars, judge_focus,
};
use proptest::prelude::*;

use crate::picture::grey16_png;
use crate::rendered::{Canvas, Dice, Spread, disc, gaussian, moffat, places};

/// How a field is drawn.
struct Drawing {
    size: [usize; 2],
    stars: usize,
    apart_px: f64,
    reach_px: f64,
    flux_e: f64,
}

/// 45 small stars.
const SMALL: Drawing = Drawing { size: [600, 400], stars: 45, apart_px: 26.0, reach_px: 14.0, flux_e: 30_000.0 };
/// As many wide ones.
const WIDE: Drawing = Drawing { apart_px: 42.0, reach_px: 28.0, flux_e: 80_000.0, ..SMALL };

impl Drawing {
    /// Stars with a spread of light that depends on the place, in half diagonals from the middle.
    fn plane<S: Fn(f64, f64) -> f64>(&self, seed: u64, spread: impl Fn([f64; 2]) -> S) -> Plane {
        let mut dice = Dice::new(seed);
        let mut canvas = Canvas::sky(self.size[0], self.size[1], 300.0);
        let half = self.size.map(|n| 0.5 * (n as f64 - 1.0));
        let half_diagonal = half[0].hypot(half[1]);
        for [x, y, flux] in places(&mut dice, self.size, self.stars, self.apart_px) {
            let drawn = spread([(x - half[0]) / half_diagonal, (y - half[1]) / half_diagonal]);
            let light: &Spread = &drawn;
            canvas.star([x, y], self.flux_e * flux, self.reach_px, light);
        }
        canvas.expose(&mut dice, 3.0, f64::INFINITY)
    }
}

fn judged(plane: &Plane) -> Focus {
    let field = find_stars(plane, &StarSearch::default());
    let focus = judge_focus(plane, &field, &FocusReference::default());
    println!("{:?} {:?} {:?} {:?} {:?}", focus.state, focus.hfd_px, focus.shape, focus.trend, focus.words);
    focus
}

/// Half-flux diameter of what was drawn: the pixel and the finite circle change it by this much at most.
const HFD_TOLERANCE: f64 = 0.08;

fn assert_hfd(focus: &Focus, expected_px: f64) {
    let hfd = focus.hfd_px.unwrap();
    assert!((hfd.value / expected_px - 1.0).abs() < HFD_TOLERANCE, "{hfd:?}, drawn {expected_px}");
}

#[test]
fn gaussian_stars_are_sharp_and_as_wide_as_drawn() {
    let focus = judged(&SMALL.plane(1, |_| gaussian(1.1)));
    assert_eq!(focus.state, FocusState::Sharp);
    // half-flux diameter of a Gaussian is 2.3548 sigma; the pixel adds 1/12 px² to its variance
    assert_hfd(&focus, 2.3548 * (1.1f64.powi(2) + 1.0 / 12.0).sqrt());
    assert!(!focus.halo && focus.lens.is_none());
    assert!(focus.trend.is_none_or(|trend| !trend.tilted && !trend.curved));
}

#[test]
fn wide_peaked_stars_are_soft() {
    let focus = judged(&WIDE.plane(2, |_| moffat(5.0, 3.0)));
    assert_eq!(focus.state, FocusState::Soft);
    assert!(!focus.halo, "{:?}", focus.shape);
}

#[test]
fn discs_are_out_of_focus_and_rings_are_donuts() {
    let focus = judged(&WIDE.plane(3, |_| disc(14.0, 0.0)));
    assert_eq!(focus.state, FocusState::Defocused);
    // a disc of diameter d has a half-flux diameter of d / sqrt 2
    assert_hfd(&focus, 14.0 / std::f64::consts::SQRT_2);
    let focus = judged(&WIDE.plane(4, |_| disc(18.0, 8.0)));
    assert_eq!(focus.state, FocusState::Donut);
}

#[test]
fn large_discs_are_found_too() {
    let large = Drawing { size: [1200, 900], stars: 30, apart_px: 80.0, flux_e: 1_000_000.0, ..WIDE };
    let focus = judged(&large.plane(5, |_| disc(36.0, 0.0)));
    assert_eq!(focus.state, FocusState::Defocused);
    assert_hfd(&focus, 36.0 / std::f64::consts::SQRT_2);
}

#[test]
fn a_tilt_is_told_with_its_side() {
    let width = |[u, _]: [f64; 2]| 1.5 + 0.7 * u;
    let focus = judged(&SMALL.plane(6, |z| gaussian(width(z))));
    let trend = focus.trend.unwrap();
    assert!(trend.tilted);
    assert!(trend.tilt_direction_deg.abs() < 15.0, "{}", trend.tilt_direction_deg);
    // 2.3548 times 0.7, from the middle to half a diagonal
    assert!((trend.tilt_px.value - 1.65).abs() < 0.25, "{:?}", trend.tilt_px);
    assert!(focus.words.iter().any(|w| w.contains("right")), "{:?}", focus.words);
}

#[test]
fn soft_corners_are_told_as_such() {
    let focus = judged(&SMALL.plane(7, |[u, v]| gaussian(1.1 + 1.2 * (u * u + v * v))));
    let trend = focus.trend.unwrap();
    assert!(trend.curved && !trend.tilted, "{trend:?}");
    // 2.3548 times 1.2 in the very corner; the outermost star stands a little nearer
    assert!((1.5..2.9).contains(&trend.outer_px.value), "{:?}", trend.outer_px);
}

/// A Gaussian drawn out along the radius (or around the middle) by an amount that grows outwards.
fn astigmatic([u, v]: [f64; 2], growth: f64) -> impl Fn(f64, f64) -> f64 {
    let r = u.hypot(v).max(1e-9);
    let (cos, sin) = (u / r, v / r);
    let (along, across) = (1.2 + growth.max(0.0) * r * r, 1.2 + (-growth).max(0.0) * r * r);
    move |x, y| {
        let (a, t) = (x * cos + y * sin, y * cos - x * sin);
        (-0.5 * ((a / along).powi(2) + (t / across).powi(2))).exp() / (std::f64::consts::TAU * along * across)
    }
}

#[test]
fn the_lens_draws_corners_out() {
    for (growth, direction) in [(1.6, LensDirection::Radial), (-1.6, LensDirection::Tangential)] {
        let focus = judged(&SMALL.plane(8, |z| astigmatic(z, growth)));
        assert_eq!(focus.lens.map(|lens| lens.direction), Some(direction), "{:?}", focus.lens);
    }
}

#[test]
fn dew_makes_a_halo() {
    let sharp = moffat(2.6, 3.0);
    let dewy = |x: f64, y: f64| 0.65 * sharp(x, y) + 0.35 * gaussian(6.0)(x, y);
    let focus = judged(&WIDE.plane(9, |_| dewy));
    assert!(focus.halo, "{:?}", focus.shape);
    assert!(focus.words.iter().any(|w| w.contains("dew")));
}

#[test]
fn what_is_known_of_the_lens_decides() {
    let plane = SMALL.plane(10, |_| gaussian(1.25));
    let field = find_stars(&plane, &StarSearch::default());
    let state = |known| judge_focus(&plane, &field, &FocusReference { sharpest_hfd_px: known }).state;
    assert_eq!(state(None), FocusState::Sharp);
    assert_eq!(state(Some(2.9)), FocusState::Sharp);
    assert_eq!(state(Some(2.1)), FocusState::Soft);
    assert_eq!(state(Some(1.2)), FocusState::Defocused);
    assert_eq!(state(Some(f64::NAN)), FocusState::Sharp);
}

#[test]
fn the_tables_are_judged_by_their_widths() {
    let state = |png: &[u8]| judged(&grey16_png(png)).state;
    assert_eq!(state(include_bytes!("../data/stars_sharp_gradient.png")), FocusState::Sharp);
    assert_eq!(state(include_bytes!("../data/stars_soft_aurora.png")), FocusState::Soft);
    // trailed, but in focus
    assert_eq!(state(include_bytes!("../data/stars_trailed.png")), FocusState::Sharp);
}

#[test]
fn without_stars_nothing_is_claimed() {
    let plane = Canvas::sky(200, 150, 300.0).expose(&mut Dice::new(1), 3.0, f64::INFINITY);
    let focus = judged(&plane);
    assert_eq!(focus.state, FocusState::CannotTell);
    assert!(focus.hfd_px.is_none() && focus.lens.is_none());
}

fn series(
    best: f64,
    least: f64,
    slope: f64,
    places: impl Iterator<Item = f64>,
    noise: f64,
    dice: &mut Dice,
) -> Vec<FocusPoint> {
    places
        .map(|position| {
            let hfd_px = (least.powi(2) + (slope * (position - best)).powi(2)).sqrt() * (1.0 + noise * dice.normal());
            FocusPoint { position, hfd_px, sigma_px: (noise * hfd_px).max(1e-3) }
        })
        .collect()
}

proptest! {
    #[test]
    fn a_series_gives_the_best_focus_within_its_error(
        best in 2.0f64..7.0, least in 1.5f64..4.0, slope in 0.8f64..3.0, seed in 0u64..10_000,
    ) {
        let points = series(best, least, slope, (0..10).map(f64::from), 0.03, &mut Dice::new(seed));
        let FocusSeries::Found { position, hfd_px } = best_focus(&points) else {
            return Err(TestCaseError::fail(format!("{points:?}")));
        };
        // five of its own errors
        prop_assert!((position.value - best).abs() < 5.0 * (position.high - position.value), "{position:?} {best}");
        prop_assert!((hfd_px.value - least).abs() < 5.0 * (hfd_px.high - hfd_px.value) + 0.01, "{hfd_px:?} {least}");
    }

    #[test]
    fn no_series_breaks_it(points in prop::collection::vec((any::<f64>(), any::<f64>(), any::<f64>()), 0..8)) {
        let points: Vec<FocusPoint> =
            points.into_iter().map(|(position, hfd_px, sigma_px)| FocusPoint { position, hfd_px, sigma_px }).collect();
        best_focus(&points);
    }
}

#[test]
fn a_series_that_stops_short_says_go_on() {
    let points = series(20.0, 2.0, 1.0, (0..8).map(f64::from), 0.01, &mut Dice::new(3));
    assert_eq!(best_focus(&points), FocusSeries::GoOn { from: 7.0, upwards: true });
    let points = series(-9.0, 2.0, 1.0, (0..8).map(f64::from), 0.01, &mut Dice::new(4));
    assert_eq!(best_focus(&points), FocusSeries::GoOn { from: 0.0, upwards: false });
    assert!(matches!(best_focus(&points[..3]), FocusSeries::CannotTell { usable: 3, needed: 4 }));
}
