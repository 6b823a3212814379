//! What is no sky: black, rough, coarse.

use super::grid::{Grid, quantile};
use super::tint::{FLOOR_DEVELOPED, FLOOR_SHARE};

/// A cell this much darker than the median cell is a black surround, a mask or a silhouette.
const VOID_SHARE: f64 = 0.05;
/// Roughness from which a surface is not sky: logarithmic step of a cell from the mean of two opposite neighbours, in the
/// direction in which it is least, median over 25 cells. Rays and borders are smooth along themselves; leaves, stones and
/// houses in no direction. Real skies lie under 0.01, leaves from 0.03 up (measured); for a map of 256 cells.
const ROUGH_AT_256: f64 = 0.02;
/// Interquartile range within a cell, steps of 8 bits, that no grain of a sky reaches: real skies have 2 to 9, leaves 15 to 60
/// (measured).
const COARSEST_GRAIN_STEPS: f64 = 16.0;

/// Step of a cell from the mean of two opposite neighbours, in the direction in which it is least.
fn least_bend(grid: Grid, values: &[f64], usable: &[bool], cell: usize) -> Option<f64> {
    let [column, row] = [cell % grid.columns, cell / grid.columns];
    if column == 0 || row == 0 || column + 1 >= grid.columns || row + 1 >= grid.rows {
        return None;
    }
    let pairs = [1, grid.columns - 1, grid.columns, grid.columns + 1];
    let whole = pairs.into_iter().filter(|off| usable[cell - off] && usable[cell + off]);
    let bends = whole.map(|off| (values[cell] - 0.5 * (values[cell - off] + values[cell + off])).abs());
    bends.min_by(f64::total_cmp)
}

/// Leaves out what is black, and the mixed cells at its edge. Gives the black ones.
pub(super) fn without_void(grid: Grid, level: &[f64], usable: &mut [bool]) -> Vec<bool> {
    let lit = level.iter().zip(usable.iter()).filter(|pair| *pair.1 && *pair.0 > 0.0).map(|pair| *pair.0);
    let middle = quantile(lit, 0.5).unwrap_or(0.0);
    let void: Vec<bool> = level.iter().map(|level| level.is_nan() || *level < VOID_SHARE * middle).collect();
    for (usable, void) in usable.iter_mut().zip(grid.widened(&void, 1)) {
        *usable &= !void;
    }
    void
}

/// Share of all cells that are black and not marked off by an edge: every neighbour across the border of the black is
/// little brighter. Masks, silhouettes and the rims of all-sky lenses have edges.
pub(super) fn faded_share(grid: Grid, level: &[f64], told: &[bool], usable: &[bool]) -> f64 {
    /// Ratio over four cells from which the border of the black is an edge.
    const EDGE: f64 = 2.5;
    let black = |cell: usize| told[cell] && !usable[cell];
    let mut ratios = Vec::new();
    for cell in (0..level.len()).filter(|cell| black(*cell)) {
        let Some(beside) = grid.beside(cell).find(|beside| usable[*beside]) else { continue };
        let [x, y] = [cell, beside].map(|cell| grid.place(cell));
        let beyond = |from: [f64; 2], step: [f64; 2], times: f64| {
            let at = [0, 1].map(|i| from[i] + times * step[i]);
            let inside = at[0] >= 0.0 && at[1] >= 0.0 && at[0] < grid.columns as f64 && at[1] < grid.rows as f64;
            inside.then(|| level[crate::whole::index(at[1]) * grid.columns + crate::whole::index(at[0])])
        };
        let step = [0, 1].map(|i| y[i] - x[i]);
        if let (Some(bright), Some(dark)) = (beyond(y, step, 1.0), beyond(x, step, -1.0)) {
            ratios.push(bright / dark.max(1e-9));
        }
    }
    let blacks = (0..level.len()).filter(|cell| black(*cell)).count() as f64;
    match quantile(ratios, 0.5) {
        Some(ratio) if ratio < EDGE => blacks / level.len().max(1) as f64,
        _ => 0.0,
    }
}

/// Grain of green in every cell, in steps of a number stored in 8 bits under the sRGB curve; what a slope across the cell
/// may make (half of the range among its neighbours) is taken off.
pub(super) fn grains(grid: Grid, rgb: &[[f64; 3]], spreads: &[f32]) -> Vec<f64> {
    let green: Vec<f64> = rgb.iter().map(|rgb| rgb[1]).collect();
    let grain = |cell: usize| {
        let (mut least, mut most) = (f64::MAX, f64::MIN);
        grid.for_around(cell, 1, |near| (least, most) = (least.min(green[near]), most.max(green[near])));
        let slope = 0.5 * (most - least).max(0.0);
        let spread = f64::from(spreads[cell]);
        // light of one step: the slope of the sRGB curve's power part (2.4, offset 0.055), its straight part below
        let light = green[cell];
        let step = if light < 0.0031 { FLOOR_DEVELOPED } else { 2.4 / 1.055 * light.powf(1.4 / 2.4) / 255.0 };
        (spread * spread - slope * slope).max(0.0).sqrt() / step
    };
    (0..green.len()).map(grain).collect()
}

/// Leaves out what is rough from cell to cell: leaves, stones, houses; and says which. Cells that
/// shine in a line are never rough.
pub(super) fn without_rough(
    grid: Grid,
    broad: &[[f64; 3]],
    floor: f64,
    (grains, line): (&[f64], &[bool]),
    usable: &mut [bool],
) -> Vec<bool> {
    let limit = ROUGH_AT_256 * (256.0 / grid.columns.max(grid.rows).max(1) as f64).sqrt().max(1.0);
    let logs: Vec<f64> = broad.iter().map(|values| (values[1] + floor.max(FLOOR_SHARE * values[1])).ln()).collect();
    let is_over: Vec<Option<bool>> = (0..logs.len())
        .map(|cell| usable[cell].then(|| least_bend(grid, &logs, usable, cell).map(|bend| bend > limit)).flatten())
        .collect();
    let rough: Vec<bool> = (0..logs.len())
        .map(|cell| {
            let (mut over, mut all) = (0u32, 0u32);
            if !usable[cell] || line[cell] {
                return false;
            }
            grid.for_around(cell, 2, |near| {
                if let Some(is_over) = is_over[near] {
                    over += u32::from(is_over);
                    all += 1;
                }
            });
            2 * over > all || grains.get(cell).is_some_and(|grain| *grain > COARSEST_GRAIN_STEPS)
        })
        .collect();
    for (usable, rough) in usable.iter_mut().zip(&rough) {
        *usable &= !rough;
    }
    rough
}
