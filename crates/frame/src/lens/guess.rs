//! Lenses to try, from what is known of the picture or from nothing.

use optics::Projection;

use super::hints::LensHints;
use super::model::LensModel;
use super::spots::Spots;

/// A lens to map the picture with, and the focal lengths that a match may make of it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Guess {
    pub(crate) model: LensModel,
    pub(crate) focal_px: [f64; 2],
}

/// Angles over the diagonal of a rectilinear picture to try, degrees, and how far from each the focal length may lie. Up to
/// 30° the shape of four stars hardly depends on it.
const RECTILINEAR_DEG: [(f64, [f64; 2]); 7] = [
    (15.0, [0.45, 2.8]),
    (42.0, [0.75, 1.35]),
    (60.0, [0.8, 1.25]),
    (76.0, [0.82, 1.22]),
    (90.0, [0.84, 1.18]),
    (103.0, [0.84, 1.18]),
    (114.0, [0.84, 1.18]),
];
/// Angles from the middle to the nearer edge of a fisheye picture to try, degrees: 40 is a fisheye cut small, 55 one of 180°
/// over the diagonal of 3:2, 90 a circle that touches the edge, 115 one with a margin.
const FISHEYE_DEG: [f64; 6] = [40.0, 52.0, 66.0, 82.0, 98.0, 116.0];
const FISHEYE_SPAN: [f64; 2] = [0.85, 1.18];
/// A range of focal lengths wider than this is tried in steps.
const WIDEST_STEP: f64 = 1.3;
/// A stated focal length is widened by this: distortion changes the scale away from the axis.
const HINT_MARGIN: f64 = 1.05;
/// How far the focal length of a known lens may be off: six deviations.
const KNOWN_SPAN: f64 = 1.03;
/// Diagonals below this are mapped the same by every projection, radians.
const NARROW_RAD: f64 = 0.6;

/// In the order to try.
pub(crate) fn guesses(hints: &LensHints, spots: &Spots) -> Vec<Guess> {
    if let Some(model) = spots.known {
        return vec![Guess { model, focal_px: [model.focal_px / KNOWN_SPAN, model.focal_px * KNOWN_SPAN] }];
    }
    let mut found = Vec::new();
    let mut add = |projection: Projection, focal_px: f64, range: [f64; 2]| {
        if focal_px.is_finite() && focal_px > 0.0 {
            for mirrored in [false, true] {
                let model = LensModel::plain(projection, focal_px, spots.middle(), mirrored);
                found.push(Guess { model, focal_px: range });
            }
        }
    };
    let half_diagonal = 0.5 * spots.diagonal_px();
    let half_short = 0.5 * spots.size_px[0].min(spots.size_px[1]);
    if let Some([low, high]) = hints.focal_px.filter(|[low, high]| *low > 0.0 && low <= high && high.is_finite()) {
        let steps = ((high / low).ln() / WIDEST_STEP.ln()).ceil().max(1.0);
        let ratio = (high / low).powf(steps.recip());
        for step in 0..crate::whole::index(steps.min(64.0)) {
            let from = low * ratio.powi(i32::try_from(step).unwrap_or(0));
            let range = [from / HINT_MARGIN, from * ratio * HINT_MARGIN];
            let focal_px = from * ratio.sqrt();
            let narrow = 2.0 * half_diagonal / focal_px < NARROW_RAD;
            let projections: &[Projection] = match hints.projection {
                Some(ref known) => std::slice::from_ref(known),
                None if narrow => &[Projection::Rectilinear],
                None => &[Projection::Rectilinear, Projection::Equidistant],
            };
            for projection in projections {
                add(*projection, focal_px, range);
            }
        }
        return found;
    }
    let wanted = |projection| hints.projection.is_none_or(|known| known == projection);
    if wanted(Projection::Rectilinear) {
        for (diagonal_deg, [low, high]) in RECTILINEAR_DEG {
            let focal_px = half_diagonal / (0.5 * diagonal_deg).to_radians().tan();
            add(Projection::Rectilinear, focal_px, [focal_px * low, focal_px * high]);
        }
    }
    let fisheye = hints.projection.unwrap_or(Projection::Equidistant);
    if fisheye != Projection::Rectilinear {
        for short_deg in FISHEYE_DEG {
            let focal_px = half_short / short_deg.to_radians();
            add(fisheye, focal_px, FISHEYE_SPAN.map(|share| share * focal_px));
        }
    }
    found
}
