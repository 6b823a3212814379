use serde::{Deserialize, Serialize};

use super::trail::trail_length_px;
use crate::focus::usable;
use crate::least_squares::{Fit, dot, solve};
use crate::{Moments, StarField};

/// A way in which stars can be drawn out over a frame. `z` is the place from the frame's middle in half diagonals.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Pattern {
    /// Not at all.
    Round,
    /// The same everywhere.
    Same,
    /// Away from the middle or around it, growing outwards: the lens.
    Lens,
    /// The same everywhere, and the lens.
    SameAndLens,
    /// Around a point, growing with the distance from it.
    Turn,
    /// As the sky turns over a camera whose direction is known.
    Sky,
    /// As the sky turns, and the lens.
    SkyAndLens,
}

/// How well a pattern fits.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PatternFit {
    /// Which.
    pub pattern: Pattern,
    /// Its free numbers: for `Same` the vector `(xx - yy, 2 xy)` it adds, px²; for `Lens` what it adds along the radius
    /// at half a diagonal, px² (below 0: around the middle); for `Turn` the shift of the middle in x and y, px, and the turn
    /// in px at half a diagonal; for `Sky` the square of the trail over what is expected. Joint ones in that order.
    pub values: Vec<f64>,
    /// Errors of those numbers, from the scatter of the stars; empty for `Turn`.
    pub sigmas: Vec<f64>,
    /// Bayesian information criterion: misfit plus the price of its numbers. The lowest wins; 10 less is strong evidence
    /// (Kass & Raftery 1995, J. Am. Stat. Assoc. 90, 773).
    pub information: f64,
}

/// One star's drawing out: place in half diagonals and vector `(xx - yy, 2 xy)` of the trail that would make it, px².
#[derive(Debug, Clone, Copy)]
pub(crate) struct Drawn {
    pub(crate) z: [f64; 2],
    pub(crate) vector: [f64; 2],
    /// Error of each part of the vector, px².
    pub(crate) sigma: f64,
    /// What the turning sky is expected to do here, px²; 0 where nothing is known.
    pub(crate) sky: [f64; 2],
}

/// Error of a star's drawing out by noise: twice the sum of its moments over its significance (sky-limited Gaussian).
const NOISE_SHARE: f64 = 2.0;
/// Scatter of the drawing out from star to star that no pattern explains, over the sum of the moments: neighbours,
/// pixels, compression.
const OWN_SCATTER: f64 = 0.03;
/// Misfit in errors beyond which a star counts by its distance, not its square (Huber's rule; common practice, no source).
const HUBER: f64 = 2.0;
/// Evidence that a pattern is there: 10 is strong (Kass & Raftery 1995).
pub(crate) const STRONG_EVIDENCE: f64 = 10.0;
/// Steps of the fit of a turn.
const TURN_STEPS: usize = 40;

impl Drawn {
    /// All stars of a field whose own shape is known.
    pub(crate) fn all(field: &StarField, sky: impl Fn([f64; 2]) -> [f64; 2]) -> Vec<Self> {
        let [width, height] = field.size_px.map(|n| n as f64);
        let half_diagonal = 0.5 * width.hypot(height);
        usable(field)
            .map(|star| {
                let m = &star.moments;
                Self {
                    z: [
                        (star.x_px - 0.5 * (width - 1.0)) / half_diagonal,
                        (star.y_px - 0.5 * (height - 1.0)) / half_diagonal,
                    ],
                    vector: drawn_vector(m),
                    sigma: (m.xx + m.yy) * (NOISE_SHARE / star.snr).hypot(OWN_SCATTER),
                    sky: sky([star.x_px, star.y_px]),
                }
            })
            .collect()
    }
}

/// Vector `(xx - yy, 2 xy)` that an even trail adds to a star with these moments, px².
pub(crate) fn drawn_vector(moments: &Moments) -> [f64; 2] {
    let [long, short] = moments.axes_px2();
    if long <= short {
        return [0.0; 2];
    }
    let added = trail_length_px(moments).powi(2) / 12.0;
    [moments.xx - moments.yy, 2.0 * moments.xy].map(|part| part * added / (long - short))
}

/// Product of two places or vectors as complex numbers.
pub(crate) fn times(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] * b[0] - a[1] * b[1], a[0] * b[1] + a[1] * b[0]]
}

/// Fits every pattern that the stars can tell, the best one first.
pub(crate) fn fit_all(stars: &[Drawn]) -> Vec<PatternFit> {
    let none = |_: &Drawn| [[0.0; 0]; 2];
    let same = |_: &Drawn| [[1.0, 0.0], [0.0, 1.0]];
    let lens = |s: &Drawn| times(s.z, s.z).map(|part| [part]);
    let same_and_lens = |s: &Drawn| {
        let z2 = times(s.z, s.z);
        [[1.0, 0.0, z2[0]], [0.0, 1.0, z2[1]]]
    };
    let sky = |s: &Drawn| s.sky.map(|part| [part]);
    let sky_and_lens = |s: &Drawn| {
        let z2 = times(s.z, s.z);
        [[s.sky[0], z2[0]], [s.sky[1], z2[1]]]
    };
    let mut fits: Vec<PatternFit> = [
        Some(judged(Pattern::Round, stars, [], &[], none)),
        linear(Pattern::Same, stars, same),
        linear(Pattern::Lens, stars, lens),
        linear(Pattern::SameAndLens, stars, same_and_lens),
        turn(stars),
        linear(Pattern::Sky, stars, sky),
        linear(Pattern::SkyAndLens, stars, sky_and_lens),
    ]
    .into_iter()
    .flatten()
    .collect();
    fits.sort_by(|a, b| a.information.total_cmp(&b.information));
    fits
}

/// Fits a pattern that is linear in its numbers; `None` when the stars do not settle them.
fn linear<const N: usize>(
    pattern: Pattern,
    stars: &[Drawn],
    terms: impl Fn(&Drawn) -> [[f64; N]; 2],
) -> Option<PatternFit> {
    let rows = rows(stars, &terms);
    if rows.len() < 2 * N {
        return None;
    }
    let fit = Fit::robust(&rows)?;
    Some(judged(pattern, stars, fit.values, &fit.sigmas, terms))
}

/// Both parts of every star's vector, each over its error.
fn rows<const N: usize>(stars: &[Drawn], terms: &impl Fn(&Drawn) -> [[f64; N]; 2]) -> Vec<([f64; N], f64)> {
    let both = |s: &Drawn| {
        let [p, q] = terms(s);
        [(p.map(|t| t / s.sigma), s.vector[0] / s.sigma), (q.map(|t| t / s.sigma), s.vector[1] / s.sigma)]
    };
    stars.iter().flat_map(both).collect()
}

fn judged<const N: usize>(
    pattern: Pattern,
    stars: &[Drawn],
    values: [f64; N],
    sigmas: &[f64],
    terms: impl Fn(&Drawn) -> [[f64; N]; 2],
) -> PatternFit {
    let misfit = rows(stars, &terms).iter().map(|(row, right)| huber(right - dot(row, &values))).sum();
    priced(pattern, stars, [&values, sigmas], misfit)
}

fn priced(pattern: Pattern, stars: &[Drawn], [values, sigmas]: [&[f64]; 2], misfit: f64) -> PatternFit {
    let price = values.len() as f64 * (2.0 * stars.len() as f64).max(1.0).ln();
    PatternFit { pattern, values: values.to_vec(), sigmas: sigmas.to_vec(), information: misfit + price }
}

fn huber(residual: f64) -> f64 {
    let size = residual.abs();
    if size <= HUBER { size * size } else { HUBER * (2.0 * size - HUBER) }
}

/// Fits a turn about a point: every place moves by `a + i b z`, and a trail's vector is a twelfth of its square.
fn turn(stars: &[Drawn]) -> Option<PatternFit> {
    // a quadratic in z, which is linear in its numbers, gives the first guess: its last term is -b²/12, its first a²/12
    let quadratic = |s: &Drawn| {
        let (z, z2) = (s.z, times(s.z, s.z));
        [[1.0, 0.0, z[0], -z[1], z2[0]], [0.0, 1.0, z[1], z[0], z2[1]]]
    };
    let rows = rows(stars, &quadratic);
    if rows.len() < 12 {
        return None;
    }
    let [p, q, r, s, c] = Fit::robust(&rows)?.values;
    let b = (-12.0 * c).max(0.0).sqrt();
    // 2 a i b = 12 (r + i s)
    let by_slope = if b > 0.0 { [6.0 * s / b, -6.0 * r / b] } else { [0.0; 2] };
    let guesses = [[by_slope[0], by_slope[1], b], root([12.0 * p, 12.0 * q], b), root([12.0 * p, 12.0 * q], -b)];
    let refined = guesses.into_iter().filter_map(|guess| refine(stars, guess));
    let (values, misfit) = refined.min_by(|a, b| a.1.total_cmp(&b.1))?;
    Some(priced(Pattern::Turn, stars, [&values, &[]], misfit))
}

/// Square root of a complex number, with a turn beside it.
fn root([re, im]: [f64; 2], b: f64) -> [f64; 3] {
    let (size, angle) = (re.hypot(im).sqrt(), 0.5 * im.atan2(re));
    [size * angle.cos(), size * angle.sin(), b]
}

/// Where a turn moves a place, px.
pub(crate) fn moved([ax, ay, b]: [f64; 3], [u, v]: [f64; 2]) -> [f64; 2] {
    [ax - b * v, ay + b * u]
}

/// Gauss-Newton with damping (Levenberg 1944, Marquardt 1963) and Huber's weights.
fn refine(stars: &[Drawn], guess: [f64; 3]) -> Option<([f64; 3], f64)> {
    let misfit = |values: [f64; 3]| -> f64 {
        let of_star = |s: &Drawn| {
            let d = moved(values, s.z);
            let square = times(d, d);
            huber((s.vector[0] - square[0] / 12.0) / s.sigma) + huber((s.vector[1] - square[1] / 12.0) / s.sigma)
        };
        stars.iter().map(of_star).sum()
    };
    let (mut values, mut damping) = (guess, 1e-3);
    let mut best = misfit(values);
    for _ in 0..TURN_STEPS {
        let (mut normal, mut right) = ([[0.0; 3]; 3], [0.0; 3]);
        for s in stars {
            let [dx, dy] = moved(values, s.z);
            let square = times([dx, dy], [dx, dy]);
            let by = [[dx, -dy, -dx * s.z[1] - dy * s.z[0]], [dy, dx, -dy * s.z[1] + dx * s.z[0]]];
            for part in 0..2 {
                let residual = (s.vector[part] - square[part] / 12.0) / s.sigma;
                let weight = (HUBER / residual.abs().max(HUBER)) / (s.sigma * s.sigma);
                let row = by[part].map(|t| t / 6.0);
                for i in 0..3 {
                    right[i] += weight * row[i] * residual * s.sigma;
                    for j in 0..3 {
                        normal[i][j] += weight * row[i] * row[j];
                    }
                }
            }
        }
        let scale = normal[0][0].max(normal[1][1]).max(normal[2][2]);
        for (i, row) in normal.iter_mut().enumerate() {
            row[i] += damping * row[i] + 1e-9 * scale;
        }
        let Some(step) = solve(normal, right) else { break };
        let next = [values[0] + step[0], values[1] + step[1], values[2] + step[2]];
        let value = misfit(next);
        if value < best {
            let gain = best - value;
            (values, best, damping) = (next, value, damping * 0.3);
            if gain < 1e-6 * best.max(1.0) {
                break;
            }
        } else {
            damping *= 10.0;
        }
    }
    best.is_finite().then_some((values, best))
}
