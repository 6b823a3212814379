//! Noise of ground and sky where they are as bright as each other.

use frame::Plane;

use crate::check::FrameLayers;

/// Side of the squares that noise is measured in, px.
const SIDE: usize = 16;
/// Squares, at most.
const MOST: usize = 6_000;
/// Squares of each kind in a step of brightness from which it counts.
const LEAST: usize = 10;
/// Steps of brightness in a stop.
const STEPS_PER_STOP: f32 = 2.0;
/// From the median of absolute values to a deviation, and of a value less the mean of its four neighbours.
const MEDIAN_TO_SIGMA: f32 = 1.4826 / 1.118;

/// Noise of the ground over that of the sky, median over the brightnesses that both have; texture of the ground is kept down
/// by taking its quieter quarter.
pub(super) fn ground_to_sky(plane: &Plane, layers: &FrameLayers) -> Option<f64> {
    let (columns, rows) = (plane.width() / SIDE, plane.height() / SIDE);
    let step = (columns * rows).div_ceil(MOST).max(1);
    let mut by_step: std::collections::BTreeMap<i32, [Vec<f32>; 2]> = std::collections::BTreeMap::new();
    for index in (0..columns * rows).step_by(step) {
        let [left, top] = [index % columns.max(1) * SIDE, index / columns.max(1) * SIDE];
        let Some((level, noise)) = square(plane, left, top) else { continue };
        let half = 0.5 * SIDE as f64;
        let is_ground = super::twins::is_ground(layers, [left as f64 + half, top as f64 + half]);
        #[expect(clippy::cast_possible_truncation, reason = "some tens of stops")]
        let key = (STEPS_PER_STOP * level.log2()).floor() as i32;
        by_step.entry(key).or_default()[usize::from(is_ground)].push(noise);
    }
    let mut ratios: Vec<f64> = by_step
        .into_values()
        .filter(|kinds| kinds.iter().all(|kind| kind.len() >= LEAST))
        .filter_map(|[mut sky, mut ground]| {
            sky.sort_by(f32::total_cmp);
            ground.sort_by(f32::total_cmp);
            let (sky, ground) = (*sky.get(sky.len() / 2)?, *ground.get(ground.len() / 4)?);
            (sky > 0.0).then(|| f64::from(ground / sky))
        })
        .collect();
    ratios.sort_by(f64::total_cmp);
    ratios.get(ratios.len() / 2).copied()
}

/// Mean light and noise of a square; `None` where it is dark or full.
fn square(plane: &Plane, left: usize, top: usize) -> Option<(f32, f32)> {
    let mut differences = Vec::with_capacity((SIDE - 2) * (SIDE - 2));
    let mut sum = 0.0;
    for y in top + 1..top + SIDE - 1 {
        let [above, here, below] = [plane.row(y - 1), plane.row(y), plane.row(y + 1)];
        for x in left + 1..left + SIDE - 1 {
            let around = 0.25 * (above.get(x)? + below.get(x)? + here.get(x - 1)? + here.get(x + 1)?);
            let value = here.get(x)?;
            sum += value;
            differences.push((value - around).abs());
        }
    }
    let mean = sum / differences.len() as f32;
    differences.sort_by(f32::total_cmp);
    let median = differences.get(differences.len() / 2)?;
    (mean > 1e-4 && mean < 0.8).then_some((mean, MEDIAN_TO_SIGMA * median))
}
