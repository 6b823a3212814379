//! Rippled water.

use crate::grid::Grid;
use crate::land::Water;

/// The mirror in rippled water: what a level surface gives back, drawn out downward by twice the slope of the ripples.
pub(crate) fn rippled(grid: &Grid, water: &Water, mirror: &mut [[f32; 3]]) {
    for (cell, light) in mirror.iter_mut().enumerate() {
        #[expect(clippy::cast_possible_truncation, reason = "a share")]
        let share = Water::reflectance(-grid.altitude_deg(cell)) as f32;
        *light = if share.is_finite() { light.map(|e| e * share) } else { [0.0; 3] };
    }
    let middle = grid.pixel(grid.columns / 2, grid.rows / 2);
    let cell_deg = grid.cell_sr(middle).sqrt().to_degrees();
    let sigma = 2.0 * water.slope_deg / cell_deg;
    if sigma < 0.3 {
        return;
    }
    // three running means are a Gaussian to a few per cent; each has a variance of (n² - 1)/12
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count of cells")]
    let half = (((4.0 * sigma * sigma + 1.0).sqrt() - 1.0) / 2.0).round() as usize;
    for column in 0..grid.columns {
        let mut line: Vec<[f32; 3]> = (0..grid.rows).map(|row| mirror[row * grid.columns + column]).collect();
        for _ in 0..3 {
            line = running_mean(&line, half);
        }
        for (row, light) in line.into_iter().enumerate() {
            mirror[row * grid.columns + column] = light;
        }
    }
}

fn running_mean(line: &[[f32; 3]], half: usize) -> Vec<[f32; 3]> {
    let mut sums = Vec::with_capacity(line.len() + 1);
    let mut sum = [0.0f64; 3];
    sums.push(sum);
    for light in line {
        sum = std::array::from_fn(|i| sum[i] + f64::from(light[i]));
        sums.push(sum);
    }
    (0..line.len())
        .map(|i| {
            let (from, to) = (i.saturating_sub(half), (i + half + 1).min(line.len()));
            #[expect(clippy::cast_possible_truncation, reason = "light in seven digits")]
            let mean = std::array::from_fn(|c| ((sums[to][c] - sums[from][c]) / (to - from) as f64) as f32);
            mean
        })
        .collect()
}
