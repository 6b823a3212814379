//! How sharp a line between sky and ground is, and what lies on either side.

use super::features::{Features, quantile};
use super::spokes::Spokes;

/// Steps of the sky itself that are believed at least, in light, roughness, red and blue: even a smooth gradient of many
/// frames' mean makes no step of two tenths a skyline.
const LEAST_OWN: [f64; 4] = [0.05, 0.1, 0.03, 0.03];
/// Stars beside the line from which they say something.
const LEAST_STARS: f64 = 8.0;
/// How far before the line the sky is compared with it, in cells: a glow that grows towards it is no edge.
const BEFORE: usize = 6;

/// A line's measures, medians over the spokes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Edge {
    /// Step over the line in light, roughness, red and blue, over the steps of the sky itself.
    pub(super) steps: [f64; 4],
    /// Share of the spokes that cross the line within the frame.
    pub(super) crossed: f64,
    /// Logarithm of the sky's light less that of the ground's.
    pub(super) brighter_sky: f64,
    /// Roughness of the ground less that of the sky.
    pub(super) rougher_ground: f64,
    /// Stars in a cell of ground over those in a cell of sky near it; 0 without stars.
    pub(super) stars_in_ground: f64,
    /// Logarithm of the sky's texture over its light.
    pub(super) sky_texture: f64,
}

impl Edge {
    pub(super) fn of(cells: &Features, spokes: &Spokes, line: &[usize]) -> Self {
        let mut steps = [0.0; 4];
        let mut crossed = 0.0;
        for (k, values) in [&cells.light, &cells.rough, &cells.red, &cells.blue].into_iter().enumerate() {
            if values.is_empty() {
                continue;
            }
            let (mut over, mut own, mut before) = (Vec::new(), Vec::new(), Vec::new());
            for (list, end) in spokes.cells.iter().zip(line) {
                let step = |at: usize| step(values, list, at);
                over.extend(step(*end));
                before.extend(end.checked_sub(BEFORE).and_then(step));
                own.extend((3..end.saturating_sub(4)).step_by(4).filter_map(step));
            }
            let middle = |values: &[f64]| quantile(values, 0.5).unwrap_or(0.0);
            steps[k] = middle(&over) / middle(&own).max(middle(&before)).max(LEAST_OWN[k]);
            crossed = over.len() as f64 / spokes.cells.len().max(1) as f64;
        }
        let [sky, ground] = spokes.divided(line);
        let middle = |values: &[f64], of: &[usize]| {
            quantile(&of.iter().map(|i| values[*i]).collect::<Vec<_>>(), 0.5).unwrap_or(0.0)
        };
        let stars_in_ground = if cells.stars.is_empty() { 0.0 } else { stars_in_ground(cells, spokes, line) };
        Self {
            steps,
            crossed,
            stars_in_ground,
            brighter_sky: middle(&cells.light, &sky) - middle(&cells.light, &ground),
            rougher_ground: middle(&cells.rough, &ground) - middle(&cells.rough, &sky),
            sky_texture: middle(&cells.rough, &sky) - 0.5 * middle(&cells.light, &sky),
        }
    }
}

/// The same number of cells on either side of the line, so that the falloff of lens and air is alike in both.
fn stars_in_ground(cells: &Features, spokes: &Spokes, line: &[usize]) -> f64 {
    let [mut sky, mut ground] = [0.0; 2];
    for (list, end) in spokes.cells.iter().zip(line) {
        let (above, below) = list.split_at((*end).min(list.len()));
        let reach = above.len().min(below.len());
        sky += above.iter().rev().take(reach).map(|cell| cells.stars[*cell]).sum::<f64>();
        ground += below.iter().take(reach).map(|cell| cells.stars[*cell]).sum::<f64>();
    }
    // a handful is no proof
    if sky + ground < LEAST_STARS { 0.0 } else { ground / f64::max(sky, 1.0) }
}

/// Difference of the two cells before a place, less one, and the two after it, plus one.
fn step(values: &[f64], list: &[usize], at: usize) -> Option<f64> {
    let mean = |range: std::ops::Range<usize>| {
        let cells = list.get(range)?;
        Some(cells.iter().map(|cell| values[*cell]).sum::<f64>() / cells.len().max(1) as f64)
    };
    Some((mean(at.checked_sub(3)?..at - 1)? - mean(at + 1..at + 3)?).abs())
}
