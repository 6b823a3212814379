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

/// How far a lens found on one frame may be off on another, one deviation each: focal length as a share (focusing moves it),
/// centre in diagonals (a stabilized sensor moves), bending of the corners by the two terms, proportion of the pixels.
const KNOWN_FOCAL: f64 = 0.005;
const KNOWN_CENTRE: f64 = 0.003;
const KNOWN_K1_BENDING: f64 = 0.004;
const KNOWN_K2_BENDING: f64 = 0.004;
const KNOWN_ASPECT: f64 = 0.002;

/// Whether the distortion is one that lenses have, or that the known lens has.
pub(crate) fn is_likely(model: &LensModel, picture: &Picture) -> bool {
    let sigmas = prior_sigmas(model, picture);
    let [.., k1, k2, _] = prior(model, picture, &sigmas);
    k1 * k1 + k2 * k2 <= MOST_DISTORTION
}

/// Deviations of a lens's numbers from the known lens's or a plain one's; infinite where nothing is known.
pub(crate) fn prior_sigmas(model: &LensModel, picture: &Picture) -> [f64; NUMBERS] {
    let corner2 = (0.5 * picture.diagonal_px / model.focal_px).min(OUTERMOST).powi(2);
    let none = f64::INFINITY;
    if picture.known.is_some() {
        let centre = KNOWN_CENTRE * picture.diagonal_px;
        let aspect = picture.aspect_sigma.map_or(SURE, |_| KNOWN_ASPECT);
        let [k1, k2] = [KNOWN_K1_BENDING / corner2, KNOWN_K2_BENDING / (corner2 * corner2)];
        return [none, none, none, KNOWN_FOCAL, centre, centre, k1, k2, aspect];
    }
    let centre = CENTRE_SIGMA * picture.diagonal_px;
    let aspect = picture.aspect_sigma.unwrap_or(SURE);
    [none, none, none, none, centre, centre, K1_BENDING / corner2, K2_BENDING / (corner2 * corner2), aspect]
}

/// A lens's numbers in those deviations.
pub(crate) fn prior(model: &LensModel, picture: &Picture, sigmas: &[f64; NUMBERS]) -> [f64; NUMBERS] {
    let plain = LensModel::plain(model.projection, model.focal_px, picture.middle, model.mirrored);
    let known = picture.known.unwrap_or(plain);
    let [cx, cy] = [0, 1].map(|axis: usize| model.centre_px[axis] - known.centre_px[axis]);
    let focal = (model.focal_px / known.focal_px).ln();
    let numbers = [0.0, 0.0, 0.0, focal, cx, cy, model.k1 - known.k1, model.k2 - known.k2, model.pixel_aspect - 1.0];
    std::array::from_fn(|i| numbers[i] / sigmas[i])
}
