//! Peaks of a large plane, looked for on the plane half as fine.

use super::level::Level;
use super::mesh::Sky;
use super::moments::Moments;
use super::peaks::{self, Peaks};
use crate::Plane;

/// Pixels of the halved plane from which the full one is not filtered: cameras of 6 megapixels and more.
const LARGE_PX: usize = 1_500_000;
/// Narrowest variance of stars that are not lost in pixels twice as wide, px²: 2.2 px FWHM. The noise under such a star
/// grows by `sqrt(1 + 1/(4 σ²))` of its own share at most, 0.1 magnitudes; wider stars lose less.
const LEAST_VARIANCE_PX2: f64 = 0.87;
/// What a pixel of twice the width adds to the variance of a star's light, px²: `(2² - 1²)/12`.
const WIDER_PIXEL_PX2: f64 = 0.25;

/// Whether stars of a shape (px² of the full plane) are found as well on the plane half as fine.
pub(super) fn may_be_halved(half: &Level, shape: &Moments) -> bool {
    half.factor == 2
        && half.plane.width() * half.plane.height() >= LARGE_PX
        && shape.axes_px2()[1] >= LEAST_VARIANCE_PX2
}

/// [`peaks::find`] on the plane half as fine, a quarter of the work; the peaks are in pixels of the full plane, each on the
/// brightest of its four.
pub(super) fn find(full: &Plane, half: &Level, sky: &Sky, shape: &Moments, threshold: f32) -> Peaks {
    let wider = Moments { xx: shape.xx + WIDER_PIXEL_PX2, yy: shape.yy + WIDER_PIXEL_PX2, xy: shape.xy };
    let mut peaks = peaks::find(&half.plane, sky, half.factor, &wider.scaled(0.25), threshold);
    // the same light in a wider patch is lower by so much
    let lower = crate::whole::single((shape.determinant() / wider.determinant()).max(f64::MIN_POSITIVE).sqrt());
    for peak in &mut peaks.found {
        let of_four = [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(dx, dy)| (2 * peak.x + dx, 2 * peak.y + dy));
        let light = |(x, y): (usize, usize)| full.row(y).get(x).unwrap_or(f32::MIN);
        let brightest = of_four.into_iter().max_by(|a, b| light(*a).total_cmp(&light(*b)));
        (peak.x, peak.y) = brightest.unwrap_or(of_four[0]);
        peak.height /= lower;
    }
    peaks
}
