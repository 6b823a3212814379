//! A rim of light along the skyline, as sharpening and local contrast draw it.

use frame::{Frame, Plane};

use crate::check::FrameLayers;
use crate::desk::camera;

/// Skyline places looked at, at most and at least.
const MOST: usize = 400;
const LEAST: usize = 40;
/// Distances from the edge, px: ground, just above, somewhat higher.
const GROUND_PX: [i32; 2] = [-12, -4];
const RIM_PX: [i32; 2] = [2, 6];
const HIGHER_PX: [i32; 2] = [22, 36];
/// Sky over ground from which the edge is one, as light.
const LEAST_STEP: f32 = 1.5;

/// Median over the skyline of the rim's light over that higher up, in shares of the step from ground to sky.
pub(super) fn overshoot(plane: &Plane, frame: &Frame, layers: &FrameLayers) -> Option<f64> {
    let up = camera::stored_step(frame, [0.0, -1.0])?;
    let places = camera::spread(camera::skyline_px(layers, up), MOST);
    let reach = round(1.5 * layers.cell_px);
    let at = |place: [f64; 2], along: i32| {
        let [x, y] = [0, 1].map(|axis| place[axis] + up[axis] * f64::from(along));
        (x >= 0.0 && y >= 0.0)
            .then(|| plane.row(super::super::grey::whole(y.round())).get(super::super::grey::whole(x.round())))
            .flatten()
    };
    let mean = |place: [f64; 2], edge: i32, [from, to]: [i32; 2]| {
        let values: Option<Vec<f32>> = (from..=to).map(|along| at(place, edge + along)).collect();
        values.map(|values| values.iter().sum::<f32>() / values.len() as f32)
    };
    let mut found: Vec<f64> = places
        .into_iter()
        .filter_map(|place| {
            // the sharpest step near where the cells change
            let step = |along: i32| {
                Some(at(place, along + 1)? + at(place, along + 2)? - at(place, along - 1)? - at(place, along - 2)?)
            };
            let edge = (-reach..=reach)
                .filter_map(|along| Some((along, step(along)?)))
                .max_by(|a, b| a.1.total_cmp(&b.1))
                .map(|(along, _)| along)?;
            let [ground, rim, higher] = [GROUND_PX, RIM_PX, HIGHER_PX].map(|range| mean(place, edge, range));
            let (ground, rim, higher) = (ground?, rim?, higher?);
            (higher > LEAST_STEP * ground && higher > 0.0).then(|| f64::from((rim - higher) / (higher - ground)))
        })
        .filter(|share| share.is_finite())
        .collect();
    if found.len() < LEAST {
        return None;
    }
    found.sort_by(f64::total_cmp);
    found.get(found.len() / 2).copied()
}

#[expect(clippy::cast_possible_truncation, reason = "a cell has some tens of pixels")]
fn round(px: f64) -> i32 {
    px.round() as i32
}
