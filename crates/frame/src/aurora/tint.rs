//! The colour of each cell as two numbers: how green against a continuum, and how warm.

use super::context::AuroraContext;
use super::grid::{Grid, quantile};
use super::surface::{faded_share, grains, without_rough, without_void};
use crate::{LightChannel, LightMap};

/// Rows: red, green, blue as a camera sees them before its colour matrix, from developed (sRGB) red, green, blue; white
/// stays white. The inverse of the matrix that fits the response of [`optics::relative_response`] to sRGB over 3000 smooth
/// spectra (computed; rows there 0.56 0.33 0.11, 0.03 0.73 0.24, -0.04 0.28 0.76), with the negative entry made positive
/// so that a channel clipped at zero has a finite logarithm.
const BROAD: [[f64; 3]; 3] = [[0.56, 0.33, 0.11], [0.05, 0.72, 0.23], [0.03, 0.27, 0.70]];
/// Greenness that a step of warmth brings: of black bodies of 1900 to 15 000 K in those channels, 0.08 + 0.014 over 2.7.
const GREEN_PER_WARMTH: f64 = 0.03;
/// Levels are lifted by this share of the mean of the three before logarithms are taken.
pub(super) const FLOOR_SHARE: f64 = 0.01;
/// The same for developed 8-bit pictures: one step at black under the sRGB curve.
pub(super) const FLOOR_DEVELOPED: f64 = 1.0 / (255.0 * 12.92);
/// Greenness that no leaf has, white-balanced and not: the greenest ones reach 0.45 (measured), and the gains of
/// most cameras add 0.5. The border of a bright aurora over a dark sky is as steep as that of a leaf, but this green.
const BEYOND_LEAVES: [f64; 2] = [0.55, 1.0];
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
        let channels = [channel(LightChannel::Red)?, channel(LightChannel::Green)?, channel(LightChannel::Blue)?];
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
        let leaves = BEYOND_LEAVES[usize::from(context.is_linear && gains.is_none())];
        let line: Vec<bool> = green.iter().map(|green| *green > leaves).collect();
        let mut rough = without_rough(grid, &broad, floor, (&grains, &line), &mut usable);
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
