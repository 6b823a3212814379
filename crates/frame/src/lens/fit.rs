//! Lens and attitude from matched stars, by damped least squares that large misses cannot pull.

use super::model::LensModel;
use super::prior::{prior, prior_sigmas};
use super::spots::Picture;
use super::vector::{Rotation, Vector, compose, length, small_turn, turn};
use crate::least_squares::solve;

/// A lens and how it is turned: the rotation takes sky vectors to the camera's axes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Pose {
    pub(crate) model: LensModel,
    pub(crate) attitude: Rotation,
}

impl Pose {
    pub(crate) fn pixel_of(&self, sky: Vector) -> Option<[f64; 2]> {
        self.model.ready().pixel_of(turn(&self.attitude, sky))
    }
}

/// A star of the sky and where it was found.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Pair {
    pub(crate) sky: Vector,
    pub(crate) place: [f64; 2],
}

/// Turn (3), logarithm of the focal length, centre (2), k1, k2, proportion of the pixels.
pub(crate) const NUMBERS: usize = 9;
/// Pairs from which the distortion, the centre and the second coefficient are fitted: three for each number.
const PAIRS_FOR_K1: usize = 9;
const PAIRS_FOR_CENTRE: usize = 14;
const PAIRS_FOR_K2: usize = 24;
/// What a lens known beforehand leaves to the stars: the turn, and a little of the rest.
const NUMBERS_OF_KNOWN: usize = 4;
/// Misses beyond this many deviations pull no harder (Huber).
const HUBER_SIGMAS: f64 = 2.0;
/// A place is no better than this, px.
const LEAST_SIGMA_PX: f64 = 0.15;
const MOST_STEPS: usize = 12;
/// Damping of a step as a share of the curvature: at the start, at least, and how often it is raised tenfold.
const FIRST_DAMPING: f64 = 1e-4;
const LEAST_DAMPING: f64 = 1e-9;
const MOST_DAMPINGS: usize = 6;
/// A step that lowers the cost by less than this share is the last.
const LEAST_GAIN: f64 = 1e-4;
/// Steps of the numerical slopes: turn in radians, logarithm, pixels, coefficients.
const SLOPE_STEPS: [f64; NUMBERS] = [1e-6, 1e-6, 1e-6, 1e-6, 1e-3, 1e-3, 1e-6, 1e-6, 1e-6];

/// Numbers fitted for so many pairs.
pub(crate) fn numbers_fitted(pairs: usize, picture: &Picture) -> usize {
    match pairs {
        _ if picture.known.is_some() => NUMBERS_OF_KNOWN,
        n if n >= PAIRS_FOR_K2 => 8,
        n if n >= PAIRS_FOR_CENTRE => 7,
        n if n >= PAIRS_FOR_K1 => 5,
        _ => 4,
    }
}

fn free(pairs: usize, picture: &Picture) -> [bool; NUMBERS] {
    if picture.known.is_some() {
        let mut all = [true; NUMBERS];
        all[NUMBERS - 1] = picture.aspect_sigma.is_some();
        return all;
    }
    let (k1, centre, k2) = (pairs >= PAIRS_FOR_K1, pairs >= PAIRS_FOR_CENTRE, pairs >= PAIRS_FOR_K2);
    [true, true, true, true, centre, centre, k1, k2, centre && picture.aspect_sigma.is_some()]
}

fn moved(pose: &Pose, step: &[f64; NUMBERS]) -> Pose {
    let [x, y, z, log_focal, cx, cy, k1, k2, aspect] = *step;
    let mut model = pose.model;
    model.focal_px *= log_focal.exp();
    model.centre_px[0] += cx;
    model.centre_px[1] += cy;
    model.k1 += k1;
    model.k2 += k2;
    model.pixel_aspect += aspect;
    Pose { model, attitude: compose(&small_turn([x, y, z]), &pose.attitude) }
}

/// Differences found less predicted; a star that the lens would not show is as far off as the frame is wide.
fn misses(pose: &Pose, pairs: &[Pair], out: &mut Vec<[f64; 2]>) {
    let ready = pose.model.ready();
    out.clear();
    out.extend(pairs.iter().map(|pair| {
        ready
            .pixel_of(turn(&pose.attitude, pair.sky))
            .map_or([1e4, 1e4], |[x, y]| [pair.place[0] - x, pair.place[1] - y])
    }));
}

/// Median distance as the deviation along one axis: a Rayleigh law's median is 1.1774 deviations.
fn sigma_px(misses: &[[f64; 2]]) -> f64 {
    let mut distances: Vec<f64> = misses.iter().map(|miss| length(*miss)).collect();
    (crate::focus::median(&mut distances) / 1.1774).max(LEAST_SIGMA_PX)
}

/// Sum of Huber's function of the misses and the prior's squares.
pub(crate) fn cost(pose: &Pose, pairs: &[Pair], sigma_px: f64, picture: &Picture) -> f64 {
    let mut found = Vec::new();
    misses(pose, pairs, &mut found);
    let stars: f64 = found
        .iter()
        .map(|miss| {
            let r = length(*miss) / sigma_px;
            if r < HUBER_SIGMAS { r * r } else { HUBER_SIGMAS * (2.0 * r - HUBER_SIGMAS) }
        })
        .sum();
    let sigmas = prior_sigmas(&pose.model, picture);
    stars + prior(&pose.model, picture, &sigmas).iter().map(|p| p * p).sum::<f64>()
}

/// The linear equations of one step: curvature and slope of the cost.
struct Equations {
    normal: [[f64; NUMBERS]; NUMBERS],
    right: [f64; NUMBERS],
}

impl Equations {
    fn new(pose: &Pose, pairs: &[Pair], sigma_px: f64, picture: &Picture) -> Self {
        let (mut found, mut shifted) = (Vec::new(), Vec::new());
        misses(pose, pairs, &mut found);
        let mut slopes = vec![[[0.0; 2]; NUMBERS]; pairs.len()];
        for i in 0..NUMBERS {
            let mut step = [0.0; NUMBERS];
            step[i] = SLOPE_STEPS[i];
            misses(&moved(pose, &step), pairs, &mut shifted);
            for (slope, (a, b)) in slopes.iter_mut().zip(found.iter().zip(&shifted)) {
                slope[i] = [(a[0] - b[0]) / SLOPE_STEPS[i], (a[1] - b[1]) / SLOPE_STEPS[i]];
            }
        }
        let mut equations = Self { normal: [[0.0; NUMBERS]; NUMBERS], right: [0.0; NUMBERS] };
        for (slope, miss) in slopes.iter().zip(&found) {
            let r = length(*miss) / sigma_px;
            let weight = if r < HUBER_SIGMAS { 1.0 } else { HUBER_SIGMAS / r } / (sigma_px * sigma_px);
            for i in 0..NUMBERS {
                for j in 0..NUMBERS {
                    equations.normal[i][j] += weight * (slope[i][0] * slope[j][0] + slope[i][1] * slope[j][1]);
                }
                equations.right[i] += weight * (slope[i][0] * miss[0] + slope[i][1] * miss[1]);
            }
        }
        let sigmas = prior_sigmas(&pose.model, picture);
        let known = prior(&pose.model, picture, &sigmas);
        for i in 0..NUMBERS {
            equations.normal[i][i] += sigmas[i].powi(-2);
            equations.right[i] -= known[i] / sigmas[i];
        }
        equations
    }

    /// Keeps the numbers that are not free where they are.
    fn hold(&mut self, free: [bool; NUMBERS]) {
        for i in (0..NUMBERS).filter(|i| !free[*i]) {
            self.right[i] = 0.0;
            self.normal[i] = [0.0; NUMBERS];
            for row in &mut self.normal {
                row[i] = 0.0;
            }
            self.normal[i][i] = 1.0;
        }
    }

    /// Solution with the diagonal raised by a share of itself. The numbers differ by nine orders of magnitude, so they are
    /// scaled by their own curvature.
    fn solve(&self, right: [f64; NUMBERS], damping: f64) -> Option<[f64; NUMBERS]> {
        let scale: [f64; NUMBERS] = std::array::from_fn(|i| self.normal[i][i].max(f64::MIN_POSITIVE).sqrt().recip());
        let mut scaled = self.normal;
        for i in 0..NUMBERS {
            for j in 0..NUMBERS {
                scaled[i][j] *= scale[i] * scale[j];
            }
            scaled[i][i] += damping;
        }
        let step = solve(scaled, std::array::from_fn(|i| right[i] * scale[i]))?;
        Some(std::array::from_fn(|i| step[i] * scale[i]))
    }
}

/// Fits from a start; `None` where the pairs do not settle it. Also the deviation along one axis, px.
pub(crate) fn fit(start: &Pose, pairs: &[Pair], picture: &Picture) -> Option<(Pose, f64)> {
    let mut pose = *start;
    let mut found = Vec::new();
    misses(&pose, pairs, &mut found);
    let mut sigma = sigma_px(&found);
    let mut damping = FIRST_DAMPING;
    for _ in 0..MOST_STEPS {
        let mut equations = Equations::new(&pose, pairs, sigma, picture);
        equations.hold(free(pairs.len(), picture));
        let before = cost(&pose, pairs, sigma, picture);
        let mut better = None;
        for _ in 0..MOST_DAMPINGS {
            let next = moved(&pose, &equations.solve(equations.right, damping)?);
            let after = cost(&next, pairs, sigma, picture);
            if after < before {
                damping = (damping * 0.2).max(LEAST_DAMPING);
                better = Some((next, after));
                break;
            }
            damping *= 10.0;
        }
        let Some((next, after)) = better else { break };
        pose = next;
        misses(&pose, pairs, &mut found);
        sigma = sigma_px(&found);
        if before - after < LEAST_GAIN * before.max(1.0) {
            break;
        }
    }
    pose.model.focal_px.is_finite().then_some((pose, sigma))
}

/// Deviations of two values that follow from the lens, by the scatter of the pairs; `None` where they do not settle it.
pub(crate) fn errors_of(
    values: impl Fn(&LensModel) -> [f64; 2],
    pose: &Pose,
    pairs: &[Pair],
    picture: &Picture,
) -> Option<[f64; 2]> {
    let mut found = Vec::new();
    misses(pose, pairs, &mut found);
    let equations = Equations::new(pose, pairs, sigma_px(&found), picture);
    let here = values(&pose.model);
    let mut slopes = [[0.0; NUMBERS]; 2];
    for i in 0..NUMBERS {
        let mut step = [0.0; NUMBERS];
        step[i] = SLOPE_STEPS[i];
        let there = values(&moved(pose, &step).model);
        for (slope, (a, b)) in slopes.iter_mut().zip(here.iter().zip(there)) {
            slope[i] = (b - a) / SLOPE_STEPS[i];
        }
    }
    let mut errors = [0.0; 2];
    for (error, slope) in errors.iter_mut().zip(slopes) {
        let moved = equations.solve(slope, 0.0)?;
        *error = moved.iter().zip(slope).map(|(a, b)| a * b).sum::<f64>().max(0.0).sqrt();
    }
    Some(errors)
}
