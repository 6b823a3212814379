//! The colour of each cell as two numbers: how green against a continuum, and how warm.

use super::context::AuroraContext;
use super::grid::{Grid, quantile};
use crate::{LightChannel, LightMap};

/// Rows: red, green, blue as a camera sees them before its colour matrix, from developed (sRGB) red, green, blue; white
/// stays white. The inverse of the matrix that fits the response of [`optics::relative_response`] to sRGB over 3000 smooth
/// spectra (computed; rows there 0.56 0.33 0.11, 0.03 0.73 0.24, -0.04 0.28 0.76), with the negative entry made positive
/// so that a channel clipped at zero has a finite logarithm.
const BROAD: [[f64; 3]; 3] = [[0.56, 0.33, 0.11], [0.05, 0.72, 0.23], [0.03, 0.27, 0.70]];
/// Greenness that a step of warmth brings: of black bodies of 1900 to 15 000 K in those channels, 0.08 + 0.014 over 2.7.
const GREEN_PER_WARMTH: f64 = 0.03;
/// Levels are lifted by this share of the mean of the three before logarithms are taken.
const FLOOR_SHARE: f64 = 0.01;
/// The same for developed 8-bit pictures: one step at black under the sRGB curve.
const FLOOR_DEVELOPED: f64 = 1.0 / (255.0 * 12.92);
/// A cell this much darker than the median cell is a black surround, a mask or a silhouette.
const VOID_SHARE: f64 = 0.05;
/// Roughness from which a surface is not sky: logarithmic step of a cell from the mean of two opposite neighbours, in the
/// direction in which it is least, median over 25 cells. Rays and borders are smooth along themselves; leaves, stones and
/// houses in no direction. Real skies lie under 0.01, leaves from 0.03 up (measured); for a map of 256 cells.
const ROUGH_AT_256: f64 = 0.02;
/// Interquartile range within a cell, steps of 8 bits, that no grain of a sky reaches: real skies have 2 to 9, leaves 15 to 60
/// (measured).
const COARSEST_GRAIN_STEPS: f64 = 16.0;
/// Cells beside black ones are rough by the fall of the light there, and say nothing of what stands around.
const RIM_CELLS: usize = 5;
/// Standard error of a median in units of an interquartile range, for one sample (1.253 / 1.349).
const MEDIAN_ERROR_PER_RANGE: f64 = 0.93;
/// Independent samples of a cell: 144, less what packing and noise reduction tie together (judgement).
const INDEPENDENT_SAMPLES: f64 = 36.0;
/// Cells along the long side from which the tint may be averaged over nine without losing thin arcs.
const SMOOTHED_FROM: usize = 100;

/// Light and tint of every cell of a picture in colour.
pub(super) struct Tints {
    pub(super) grid: Grid,
    /// Red, green, blue as the map has them.
    pub(super) rgb: Vec<[f64; 3]>,
    /// Mean of the three.
    pub(super) level: Vec<f64>,
    /// `ln G - (ln R + ln B)/2`, less what a warmer continuum brings; NaN where not usable.
    pub(super) green: Vec<f64>,
    /// `ln R/B`.
    pub(super) warm: Vec<f64>,
    /// Standard error of `green`.
    pub(super) sigma: Vec<f64>,
    /// Sky, or not known to be anything else.
    pub(super) usable: Vec<bool>,
    /// Cells refused for their roughness.
    pub(super) rough: Vec<bool>,
    /// Median grain, in steps of the stored numbers; `None` for linear ones.
    pub(super) grain_steps: Option<f64>,
    /// Share of black cells at whose edge the light fades out smoothly.
    pub(super) faded_share: f64,
}

impl Tints {
    /// `None` for grey pictures.
    pub(super) fn of(map: &LightMap, context: &AuroraContext<'_>) -> Option<Self> {
        let channel = |wanted| map.channels.iter().find(|channel| channel.channel == wanted);
        let channels =
            [channel(LightChannel::Red)?, channel(LightChannel::Green)?, channel(LightChannel::Blue)?];
        let grid = Grid { columns: map.columns, rows: map.rows };
        let count = grid.cells();
        if channels.iter().any(|channel| channel.medians.len() != count || channel.spreads.len() != count) {
            return None;
        }
        let gains = context.neutral.filter(|n| context.is_linear && n.iter().all(|x| x.is_finite() && *x > 0.0));
        let seen = |values: [f64; 3]| {
            if context.is_linear {
                gains.map_or(values, |gains| [0, 1, 2].map(|i| values[i] / gains[i]))
            } else {
                BROAD.map(|row| row.iter().zip(values).map(|(weight, value)| weight * value).sum())
            }
        };
        let raw = |cell: usize| channels.map(|channel| f64::from(channel.medians[cell]));
        let rgb: Vec<[f64; 3]> = (0..count).map(raw).collect();
        let broad: Vec<[f64; 3]> = rgb.iter().map(|values| seen(values.map(|value| value.max(0.0)))).collect();
        let level: Vec<f64> = broad.iter().map(|values| values.iter().sum::<f64>() / 3.0).collect();
        let mut usable = told_as_sky(map, context);
        for cell in 0..count {
            usable[cell] &= rgb[cell].iter().all(|value| value.is_finite());
            usable[cell] &= !channels.iter().any(|channel| channel.is_light.get(cell).copied().unwrap_or(false));
        }
        let told = usable.clone();
        let black = without_void(grid, &level, &mut usable);
        let faded_share = faded_share(grid, &level, &told, &usable);
        let floor = if context.is_linear { 0.0 } else { FLOOR_DEVELOPED };
        let (mut green, mut warm, mut sigma) = (vec![f64::NAN; count], vec![f64::NAN; count], vec![f64::NAN; count]);
        for cell in (0..count).filter(|cell| usable[*cell]) {
            let lift = floor.max(FLOOR_SHARE * level[cell]);
            let [red, middle, blue] = broad[cell].map(|value| (value + lift).ln());
            warm[cell] = red - blue;
            green[cell] = middle - 0.5 * (red + blue) - GREEN_PER_WARMTH * warm[cell];
            let [r, g, b] = [0, 1, 2].map(|i| {
                let spread = f64::from(channels[i].spreads[cell]).max(0.0) / gains.map_or(1.0, |gains| gains[i]);
                spread * MEDIAN_ERROR_PER_RANGE / INDEPENDENT_SAMPLES.sqrt() / (broad[cell][i] + lift)
            });
            sigma[cell] = (g * g + 0.25 * (r * r + b * b)).sqrt();
        }
        let grains = if context.is_linear { Vec::new() } else { grains(grid, &rgb, &channels[1].spreads) };
        let mut rough = without_rough(grid, &broad, floor, &grains, &mut usable);
        let near_black = grid.widened(&black, RIM_CELLS);
        rough.iter_mut().zip(near_black).for_each(|(rough, near)| *rough &= !near);
        let seen = (0..grains.len()).filter(|cell| usable[*cell] && (0.003..0.6).contains(&rgb[*cell][1]));
        let grain_steps = quantile(seen.map(|cell| grains[cell]), 0.5);
        let mut tints = Self { grid, rgb, level, green, warm, sigma, usable, rough, grain_steps, faded_share };
        tints.settle();
        Some(tints)
    }

    /// Corrects the noise by what neighbours say, and averages.
    fn settle(&mut self) {
        let steps = self.steps(&self.green);
        let seen = quantile(steps, 0.5).unwrap_or(0.0) / 0.6745;
        let thought = quantile(self.sigma.iter().copied(), 0.5).unwrap_or(0.0);
        let factor = if thought > 0.0 { (seen / thought).max(1.0) } else { 1.0 };
        let reach = usize::from(self.grid.columns.max(self.grid.rows) >= SMOOTHED_FROM);
        // nine cells, a part of whose noise they share
        let averaging = if reach == 0 { 1.0 } else { 0.5 };
        for sigma in &mut self.sigma {
            *sigma = sigma.max(thought) * factor * averaging;
        }
        if reach > 0 {
            self.green = self.masked(self.grid.smoothed(&self.green, &self.usable, reach));
            self.warm = self.masked(self.grid.smoothed(&self.warm, &self.usable, reach));
        } else {
            self.green = self.masked(self.green.clone());
            self.warm = self.masked(self.warm.clone());
        }
    }

    fn masked(&self, mut values: Vec<f64>) -> Vec<f64> {
        for (value, usable) in values.iter_mut().zip(&self.usable) {
            if !usable {
                *value = f64::NAN;
            }
        }
        values
    }

    /// Steps of each usable cell from the mean of its neighbours left, right, above and below.
    fn steps(&self, values: &[f64]) -> Vec<f64> {
        let cells = (0..values.len()).filter(|cell| self.usable[*cell]);
        cells.filter_map(|cell| step(self.grid, values, &self.usable, cell)).collect()
    }

    pub(super) fn usable_count(&self) -> usize {
        self.usable.iter().filter(|usable| **usable).count()
    }
}

/// Whether red, green and blue are the same everywhere, but for a cell in fifty: a grey picture in three channels.
pub(super) fn is_colourless(map: &LightMap) -> bool {
    /// Difference of two channels, share of the brighter, that packing leaves in a grey picture.
    const ALIKE: f32 = 0.03;
    let [red, green, blue] = map.channels.as_slice() else { return true };
    let alike = |a: f32, b: f32| (a - b).abs() <= ALIKE * a.max(b) + crate::whole::single(FLOOR_DEVELOPED);
    let cells = red.medians.iter().zip(&green.medians).zip(&blue.medians);
    let coloured = cells.filter(|((r, g), b)| !alike(**r, **g) || !alike(**b, **g)).count();
    coloured * 50 <= green.medians.len()
}

/// What the caller says is sky; everything where nobody says.
pub(super) fn told_as_sky(map: &LightMap, context: &AuroraContext<'_>) -> Vec<bool> {
    let count = map.columns * map.rows;
    if context.sky.len() == count { context.sky.to_vec() } else { vec![true; count] }
}

fn step(grid: Grid, values: &[f64], usable: &[bool], cell: usize) -> Option<f64> {
    let (mut sum, mut number) = (0.0, 0.0);
    for near in grid.beside(cell).filter(|near| usable[*near] && values[*near].is_finite()) {
        sum += values[near];
        number += 1.0;
    }
    // the mean of the neighbours has noise of its own
    (number > 1.5).then(|| (values[cell] - sum / number).abs() / (1.0 + 1.0_f64 / number).sqrt())
}

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
fn without_void(grid: Grid, level: &[f64], usable: &mut [bool]) -> Vec<bool> {
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
fn faded_share(grid: Grid, level: &[f64], told: &[bool], usable: &[bool]) -> f64 {
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
fn grains(grid: Grid, rgb: &[[f64; 3]], spreads: &[f32]) -> Vec<f64> {
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

/// Leaves out what is rough from cell to cell: leaves, stones, houses; and says which.
fn without_rough(grid: Grid, broad: &[[f64; 3]], floor: f64, grains: &[f64], usable: &mut [bool]) -> Vec<bool> {
    let limit = ROUGH_AT_256 * (256.0 / grid.columns.max(grid.rows).max(1) as f64).sqrt().max(1.0);
    let logs: Vec<f64> = broad.iter().map(|values| (values[1] + floor.max(FLOOR_SHARE * values[1])).ln()).collect();
    let is_over: Vec<Option<bool>> = (0..logs.len())
        .map(|cell| usable[cell].then(|| least_bend(grid, &logs, usable, cell).map(|bend| bend > limit)).flatten())
        .collect();
    let rough: Vec<bool> = (0..logs.len())
        .map(|cell| {
            let (mut over, mut all) = (0u32, 0u32);
            if !usable[cell] {
                return false;
            }
            grid.for_around(cell, 2, |near| {
                if let Some(is_over) = is_over[near] {
                    over += u32::from(is_over);
                    all += 1;
                }
            });
            (2 * over > all || grains.get(cell).is_some_and(|grain| *grain > COARSEST_GRAIN_STEPS))
        })
        .collect();
    for (usable, rough) in usable.iter_mut().zip(&rough) {
        *usable &= !rough;
    }
    rough
}
