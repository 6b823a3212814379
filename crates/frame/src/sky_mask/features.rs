//! What tells sky from ground, cell by cell: light, roughness, colour, stars.

use crate::light::{ChannelLight, LightChannel, LightMap};
use crate::whole::index;
use crate::{Star, StarField};

/// Cells along the long side: a skyline is wanted to a hundredth of the frame, and each cell costs time.
const CELLS_ALONG: usize = 100;
/// The darkest cells taken for black: a hundredth, so that one odd cell is none.
const BLACK_PLACE: f64 = 0.01;
/// Differences below this share of the frame's middle light say nothing: black levels are not known better than this.
const SMALLEST_SHARE: f64 = 0.03;
/// Interquartile range of a Gaussian in standard deviations.
const QUARTILES_PER_SIGMA: f64 = 1.349;
/// Stars from which their absence says something.
pub(crate) const LEAST_STARS: usize = 20;

/// Half-flux diameter over FWHM of what a lens makes of a star: 0.9 for discs and rings, 1 for a Gaussian, 1.2 for a Moffat
/// star of exponent 2.5. Leaves, letters and windows have no core. (Dew makes 1.6 of it; then stars prove no sky here.)
const PROFILE: [f64; 2] = [0.82, 1.4];

/// Share of the stars that every third of the picture holds at least, across and down: a fifth of its even share, of twenty
/// stars one (judgement; lumps of a landscape by day leave the sky without any).
const LEAST_IN_THIRD: f64 = 1.0 / 15.0;

/// Width from which stars are discs, px, and what they have then at most.
const DISCS_FROM_PX: f64 = 6.0;
const DISC_PROFILE: f64 = 1.2;

/// The frame as coarse cells.
#[derive(Debug, Clone)]
pub(crate) struct Features {
    pub(crate) columns: usize,
    pub(crate) rows: usize,
    /// Side of a cell, px of the frame.
    pub(crate) cell_px: f64,
    /// Side in cells of the [`LightMap`].
    pub(crate) merged: usize,
    /// Green (or grey) light, the map's unit; NaN where nothing is known.
    pub(crate) level: Vec<f64>,
    /// Logarithm of the light above black.
    pub(crate) light: Vec<f64>,
    /// Logarithm of noise and texture over the root of the light: the same everywhere in an even, noisy picture.
    pub(crate) rough: Vec<f64>,
    /// Logarithm of red over green; empty in grey pictures.
    pub(crate) red: Vec<f64>,
    /// Logarithm of blue over green; empty in grey pictures.
    pub(crate) blue: Vec<f64>,
    /// Stars in each cell; empty where too few were found to say anything.
    pub(crate) stars: Vec<f64>,
    /// Cells with a small burnt-out light.
    pub(crate) lamp: Vec<bool>,
}

impl Features {
    /// Of a frame's light and stars.
    pub(crate) fn of(cells: &LightMap, field: &StarField) -> Self {
        let merged = cells.columns.max(cells.rows).div_ceil(CELLS_ALONG).max(1);
        let (columns, rows) = (cells.columns.div_ceil(merged), cells.rows.div_ceil(merged));
        let cell_px = cells.cell_px * merged as f64;
        let grid = Grid { cells, merged, columns, rows };
        let green = cells.green();
        let level = green.map_or_else(|| vec![f64::NAN; columns * rows], |green| grid.mean(&green.medians));
        let spread = green.map_or_else(|| vec![0.0; columns * rows], |green| grid.mean(&green.spreads));
        let noise: Vec<f64> = (0..columns * rows)
            .map(|i| {
                let [x, y] = [i % columns, i / columns].map(|at| (at as f64 + 0.5) * cell_px - 0.5);
                field.noise.at(x, y)
            })
            .collect();
        let typical_noise = quantile(&noise, 0.5).unwrap_or(0.0);
        let (light, black, small) = logarithm(&level, typical_noise);
        let rough = (0..columns * rows)
            .map(|i| {
                let sigma = (spread[i] / QUARTILES_PER_SIGMA).max(0.5 * noise[i]) + 0.1 * typical_noise;
                (sigma / (level[i] - black + small).max(small).sqrt()).max(f64::MIN_POSITIVE).ln()
            })
            .collect();
        let colour = |wanted: LightChannel| -> Vec<f64> {
            let Some(channel) = cells.channels.iter().find(|channel| channel.channel == wanted) else {
                return Vec::new();
            };
            let (other, _, _) = logarithm(&grid.mean(&channel.medians), typical_noise);
            other.iter().zip(&light).map(|(other, green)| other - green).collect()
        };
        Self {
            columns,
            rows,
            cell_px,
            merged,
            red: colour(LightChannel::Red),
            blue: colour(LightChannel::Blue),
            stars: grid.stars(field, cell_px),
            lamp: grid.lamps(green),
            level,
            light,
            rough,
        }
    }

    /// Middle of a cell, px of the frame.
    pub(crate) fn middle_px(&self, i: usize) -> [f64; 2] {
        [i % self.columns, i / self.columns].map(|at| (at as f64 + 0.5) * self.cell_px - 0.5)
    }

    /// Cells in all.
    pub(crate) fn count(&self) -> usize {
        self.columns * self.rows
    }

    /// Whether there are stars, and no third of the picture is left without its part of them.
    pub(super) fn has_stars_all_over(&self) -> bool {
        let (mut across, mut down) = ([0.0; 3], [0.0; 3]);
        for (i, stars) in self.stars.iter().enumerate() {
            across[3 * (i % self.columns) / self.columns] += stars;
            down[3 * (i / self.columns) / self.rows] += stars;
        }
        let all: f64 = across.iter().sum();
        all > 0.0 && across.iter().chain(&down).all(|third| *third >= LEAST_IN_THIRD * all)
    }
}

struct Grid<'a> {
    cells: &'a LightMap,
    merged: usize,
    columns: usize,
    rows: usize,
}

impl Grid<'_> {
    /// Mean over the cells of the map that make one cell here.
    fn mean(&self, values: &[f32]) -> Vec<f64> {
        let mut sums = vec![(0.0, 0.0); self.columns * self.rows];
        for (i, value) in values.iter().enumerate().filter(|(_, value)| value.is_finite()) {
            if let Some(sum) = sums.get_mut(self.coarse(i)) {
                sum.0 += f64::from(*value);
                sum.1 += 1.0;
            }
        }
        sums.into_iter().map(|(sum, n)| if n > 0.0 { sum / n } else { f64::NAN }).collect()
    }

    fn coarse(&self, i: usize) -> usize {
        let columns = self.cells.columns.max(1);
        i / columns / self.merged * self.columns + i % columns / self.merged
    }

    fn stars(&self, field: &StarField, cell_px: f64) -> Vec<f64> {
        if !are_stars(field) {
            return Vec::new();
        }
        let mut counts = vec![0.0; self.columns * self.rows];
        for Star { x_px, y_px, .. } in &field.stars {
            let [column, row] = [x_px, y_px].map(|px| index((px + 0.5) / cell_px));
            if let Some(count) = counts.get_mut(row.min(self.rows - 1) * self.columns + column.min(self.columns - 1)) {
                *count += 1.0;
            }
        }
        counts
    }

    fn lamps(&self, green: Option<&ChannelLight>) -> Vec<bool> {
        let mut lamps = vec![false; self.columns * self.rows];
        for (i, light) in green.iter().flat_map(|green| green.is_light.iter().enumerate()) {
            if let Some(lamp) = lamps.get_mut(self.coarse(i)) {
                *lamp |= *light;
            }
        }
        lamps
    }
}

/// Whether what was found is stars for sure: enough of them, with the profile that a lens makes.
pub(crate) fn are_stars(field: &StarField) -> bool {
    let Some(typical) = field.typical.filter(|_| field.stars.len() >= LEAST_STARS) else { return false };
    // wide ones are out of focus, discs without wings; lumps in trees and houses have no edge
    let widest = if typical.fwhm_px > DISCS_FROM_PX { DISC_PROFILE } else { PROFILE[1] };
    // a circle holds a trail less well the longer it is; the width is that of a round star of the same area
    let most = widest / (1.0 - typical.elongation).max(0.05).sqrt();
    (PROFILE[0]..=most).contains(&(typical.hfd_px / typical.fwhm_px))
}

/// Logarithm of light above black, with the black level and the smallest difference worth anything.
fn logarithm(level: &[f64], noise: f64) -> (Vec<f64>, f64, f64) {
    let black = quantile(level, BLACK_PLACE).unwrap_or(0.0);
    let middle = quantile(level, 0.5).unwrap_or(0.0) - black;
    let small = (SMALLEST_SHARE * middle).max(noise).max(1e-6 * black.abs()).max(f64::MIN_POSITIVE);
    (level.iter().map(|level| ((level - black).max(0.0) + small).ln()).collect(), black, small)
}

/// Value by its place in order, 0..1, of those that are numbers.
pub(crate) fn quantile(values: &[f64], place: f64) -> Option<f64> {
    let mut kept: Vec<f64> = values.iter().copied().filter(|value| value.is_finite()).collect();
    let last = kept.len().checked_sub(1)?;
    let at = index((last as f64 * place).round()).min(last);
    Some(*kept.select_nth_unstable_by(at, f64::total_cmp).1)
}
