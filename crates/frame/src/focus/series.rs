use quantity::{Basis, Estimate};
use serde::{Deserialize, Serialize};

use crate::least_squares::Fit;

/// One frame of a focus series.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct FocusPoint {
    /// Place of the focus ring, in any even measure: steps, millimetres, marks on a strip of tape, or the frame's number.
    pub position: f64,
    /// Half-flux diameter of its stars, px.
    pub hfd_px: f64,
    /// Error of that diameter, px; above 0.
    pub sigma_px: f64,
}

/// What a series says about the best focus.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "answer")]
pub enum FocusSeries {
    /// The series passes through the best focus.
    Found {
        /// Place of the focus ring.
        position: Estimate,
        /// Half-flux diameter to expect there, px.
        hfd_px: Estimate,
    },
    /// The stars are still getting smaller at one end: go on that way.
    GoOn {
        /// The end to go on from.
        from: f64,
        /// Whether the numbers grow that way.
        upwards: bool,
    },
    /// Too few frames, or no minimum in them.
    CannotTell {
        /// Frames that could be used.
        usable: usize,
        /// Frames at different places that are needed.
        needed: usize,
    },
}

/// Three numbers of the curve and one to test it.
const LEAST_POINTS: usize = 4;
/// Share of the series' length by which the best focus may lie beyond its ends: further out it is a guess.
const BEYOND_SHARE: f64 = 0.1;
/// Times the curve is fitted again about its own minimum; the second fit moves it no more but for rounding.
const ROUNDS: usize = 3;

/// Finds the best focus of a series.
///
/// A cone of light cut out of focus, with the star's own width added in squares, is a hyperbola: the square of the
/// diameter is a parabola in the ring's place, which least squares solves without a first guess. Geometry.
///
/// ```
/// use frame::{FocusPoint, FocusSeries, best_focus};
///
/// let hfd = |x: f64| (2.2f64.powi(2) + (0.8 * (x - 3.4)).powi(2)).sqrt();
/// let points: Vec<FocusPoint> =
///     (0..8).map(f64::from).map(|x| FocusPoint { position: x, hfd_px: hfd(x), sigma_px: 0.1 }).collect();
/// let FocusSeries::Found { position, hfd_px } = best_focus(&points) else { unreachable!() };
/// assert!((position.value - 3.4).abs() < 1e-6 && (hfd_px.value - 2.2).abs() < 1e-6);
/// ```
pub fn best_focus(points: &[FocusPoint]) -> FocusSeries {
    let sound = |p: &&FocusPoint| p.position.is_finite() && p.hfd_px.is_finite() && p.hfd_px > 0.0 && p.sigma_px > 0.0;
    let usable: Vec<FocusPoint> = points.iter().filter(sound).filter(|p| p.sigma_px.is_finite()).copied().collect();
    let mut places: Vec<f64> = usable.iter().map(|p| p.position).collect();
    places.sort_by(f64::total_cmp);
    places.dedup();
    let cannot_tell = FocusSeries::CannotTell { usable: places.len(), needed: LEAST_POINTS };
    let (Some(first), Some(last)) = (places.first().copied(), places.last().copied()) else { return cannot_tell };
    let half = 0.5 * (last - first);
    if places.len() < LEAST_POINTS {
        return cannot_tell;
    }
    let Some((best, fit)) = minimum(&usable, 0.5 * (first + last), half) else {
        return go_on(&usable, [first, last]).unwrap_or(cannot_tell);
    };
    let margin = BEYOND_SHARE * 2.0 * half;
    if best < first - margin || best > last + margin {
        return go_on(&usable, [first, last]).unwrap_or(cannot_tell);
    }
    let [a, _, c] = fit.values;
    let scale = fit.scatter.max(1.0) / fit.scatter.max(f64::MIN_POSITIVE);
    let [sigma_a, sigma_b, _] = fit.sigmas.map(|sigma| sigma * scale);
    let least = a.max(0.0).sqrt();
    let hfd_sigma = if least > 0.0 { 0.5 * sigma_a / least } else { sigma_a.sqrt() };
    FocusSeries::Found {
        position: Estimate::symmetric(best, half * 0.5 * sigma_b / c, Basis::Measured),
        hfd_px: Estimate::symmetric(least, hfd_sigma, Basis::Measured),
    }
}

/// Place of the parabola's minimum, and the parabola about it in units of `half`; `None` if it has no minimum.
fn minimum(points: &[FocusPoint], middle: f64, half: f64) -> Option<(f64, Fit<3>)> {
    let (mut centre, mut answer) = (middle, None);
    for _ in 0..ROUNDS {
        let rows: Vec<([f64; 3], f64)> = points
            .iter()
            .map(|p| {
                let x = (p.position - centre) / half;
                // error of a square; each row is divided by its own
                let sigma = 2.0 * p.hfd_px * p.sigma_px;
                ([1.0, x, x * x].map(|term| term / sigma), p.hfd_px * p.hfd_px / sigma)
            })
            .collect();
        let fit = Fit::weighted(&rows, &vec![1.0; rows.len()])?;
        let [_, b, c] = fit.values;
        if c <= 2.0 * fit.sigmas[2] {
            return None;
        }
        answer = Some((centre, fit));
        centre -= half * 0.5 * b / c;
    }
    answer
}

/// Which way the stars get smaller, if the smallest ones are at an end of the series.
fn go_on(points: &[FocusPoint], [first, last]: [f64; 2]) -> Option<FocusSeries> {
    let smallest = points.iter().min_by(|a, b| a.hfd_px.total_cmp(&b.hfd_px))?;
    let third = (last - first) / 3.0;
    if smallest.position >= last - third {
        Some(FocusSeries::GoOn { from: last, upwards: true })
    } else if smallest.position <= first + third {
        Some(FocusSeries::GoOn { from: first, upwards: false })
    } else {
        None
    }
}
