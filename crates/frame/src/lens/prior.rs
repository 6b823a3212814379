//! What is known of a lens before any star is seen.

use super::fit::NUMBERS;
use super::model::{LensModel, OUTERMOST};
use super::spots::Picture;

/// Share by which the first and the second term of the distortion move the corners of real pictures, one deviation (from
/// memory: wide lenses reach 0.1, fisheyes against the nearest ideal law 0.05; the second term is a correction to the first).
const K1_BENDING: f64 = 0.06;
const K2_BENDING: f64 = 0.02;
/// How far a cut moves the optical centre from the middle, one deviation, in diagonals.
const CENTRE_SIGMA: f64 = 0.2;
/// Deviation of the proportion of pixels that are square.
const SURE: f64 = 1e-9;
/// Distortion beyond this sum of squared deviations is not believed: a fit that was drawn away by wrong stars (4.5 deviations).
const MOST_DISTORTION: f64 = 20.0;

/// Whether the distortion is one that lenses have.
pub(crate) fn is_likely(model: &LensModel, picture: &Picture) -> bool {
    let [.., k1, k2, _] = prior_sigmas(model, picture);
    (model.k1 / k1).powi(2) + (model.k2 / k2).powi(2) <= MOST_DISTORTION
}

/// Deviations of a lens's numbers from a plain lens's; infinite where nothing is known.
pub(crate) fn prior_sigmas(model: &LensModel, picture: &Picture) -> [f64; NUMBERS] {
    let corner2 = (0.5 * picture.diagonal_px / model.focal_px).min(OUTERMOST).powi(2);
    let centre = CENTRE_SIGMA * picture.diagonal_px;
    let none = f64::INFINITY;
    let aspect = picture.aspect_sigma.unwrap_or(SURE);
    [none, none, none, none, centre, centre, K1_BENDING / corner2, K2_BENDING / (corner2 * corner2), aspect]
}

/// A lens's numbers in those deviations.
pub(crate) fn prior(model: &LensModel, middle: [f64; 2], sigmas: &[f64; NUMBERS]) -> [f64; NUMBERS] {
    let [cx, cy] = [0, 1].map(|axis: usize| model.centre_px[axis] - middle[axis]);
    let numbers = [0.0, 0.0, 0.0, 0.0, cx, cy, model.k1, model.k2, model.pixel_aspect - 1.0];
    std::array::from_fn(|i| numbers[i] / sigmas[i])
}
