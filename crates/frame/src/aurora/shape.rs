//! Form and structure of the auroral light.

use super::finding::{AuroraForm, AuroraRays, AuroraRegion, AuroraStructure};
use super::grid::{Grid, Region, quantile};
use super::rays;
use crate::LensSolution;
use quantity::Horizontal;

/// Length over width from which a form is a band.
const BAND_ELONGATION: f64 = 3.0;
/// Agreement of gradients from which unbounded light is striped enough for a band.
const BAND_COHERENCE: f64 = 0.5;
/// Share of fine variation under which light is a veil.
const VEIL_FINE_SHARE: f64 = 0.12;
/// Pieces from which forms are called patches.
const LEAST_PATCHES: usize = 3;
/// Cells by which each side of a gap is widened before regions are told apart.
const JOINED_CELLS: usize = 2;
/// Fewest cells of a region, and its least share of the light (judgements).
const LEAST_REGION_CELLS: usize = 24;
const LEAST_REGION_SHARE: f64 = 0.1;
/// Regions told apart.
const MOST_REGIONS: usize = 4;

/// Mean place and axes of a patch, in cells.
#[derive(Debug, Clone, Copy)]
pub(super) struct Axes {
    pub(super) length: f64,
    pub(super) width: f64,
    /// Along the length, radians from +x towards +y.
    pub(super) angle: f64,
}

impl Axes {
    pub(super) fn of(grid: Grid, cells: &[usize]) -> Self {
        let n = cells.len().max(1) as f64;
        let mean = |axis: usize| cells.iter().map(|cell| grid.place(*cell)[axis]).sum::<f64>() / n;
        let middle = [mean(0), mean(1)];
        let moment = |a: usize, b: usize| {
            let off = |cell: &usize, axis: usize| grid.place(*cell)[axis] - middle[axis];
            cells.iter().map(|cell| off(cell, a) * off(cell, b)).sum::<f64>() / n
        };
        // a cell is one wide
        let (xx, yy, xy) = (moment(0, 0) + 1.0 / 12.0, moment(1, 1) + 1.0 / 12.0, moment(0, 1));
        let (half, split) = (0.5 * (xx + yy), (0.5 * (xx - yy)).hypot(xy));
        Self {
            length: 4.0 * (half + split).sqrt(),
            width: 4.0 * (half - split).max(1.0 / 12.0).sqrt(),
            angle: 0.5 * (2.0 * xy).atan2(xx - yy),
        }
    }

    pub(super) fn elongation(&self) -> f64 {
        self.length / self.width
    }
}

/// Gradient of a field at a cell, from cells that count on both sides.
pub(super) fn gradient(grid: Grid, field: &[f64], cell: usize) -> Option<[f64; 2]> {
    let [column, row] = [cell % grid.columns, cell / grid.columns];
    if column == 0 || row == 0 || column + 1 >= grid.columns || row + 1 >= grid.rows {
        return None;
    }
    let x = 0.5 * (field[cell + 1] - field[cell - 1]);
    let y = 0.5 * (field[cell + grid.columns] - field[cell - grid.columns]);
    (x.is_finite() && y.is_finite()).then_some([x, y])
}

/// Agreement of gradients, 0 to 1, and the direction along the stripes, radians.
pub(super) fn coherence(gradients: impl Iterator<Item = [f64; 2]>) -> (f64, f64) {
    let (mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0);
    for [x, y] in gradients {
        xx += x * x;
        yy += y * y;
        xy += x * y;
    }
    let sum = xx + yy;
    if sum <= 0.0 {
        return (0.0, 0.0);
    }
    let across = 0.5 * (2.0 * xy).atan2(xx - yy);
    ((xx - yy).hypot(2.0 * xy) / sum, wrapped(across + std::f64::consts::FRAC_PI_2))
}

/// A direction without an arrow, -90 to 90 degrees, radians.
pub(super) fn wrapped(angle: f64) -> f64 {
    let half_turn = std::f64::consts::PI;
    (angle + 0.5 * half_turn).rem_euclid(half_turn) - 0.5 * half_turn
}

/// What is needed to measure structure.
pub(super) struct Seen<'a> {
    pub(super) grid: Grid,
    /// Light above the sky's own.
    pub(super) excess: &'a [f64],
    /// Light of every cell, whether it counts as sky or not; NaN where there is none.
    pub(super) light: &'a [f64],
    pub(super) usable: &'a [bool],
    pub(super) mask: &'a [bool],
    pub(super) cell_px: f64,
    pub(super) lens: Option<&'a LensSolution>,
    pub(super) magnetic_zenith: Option<Horizontal>,
}

/// Structure of the light under a mask, the corona apart; `None` where the mask is empty.
pub(super) fn structure(seen: &Seen<'_>) -> Option<AuroraStructure> {
    let grid = seen.grid;
    let field = grid.smoothed(seen.excess, seen.usable, 1);
    let regions = grid.regions(seen.mask, 4);
    let main: &Region = regions.first()?;
    let axes = Axes::of(grid, &main.cells);
    let rim = grid.widened(seen.mask, 2);
    let cells = || (0..rim.len()).filter(|cell| rim[*cell]);
    let (coherence, direction) = coherence(cells().filter_map(|cell| gradient(grid, &field, cell)));
    let wide = grid.smoothed(seen.excess, seen.usable, (grid.columns.max(grid.rows) / 16).max(2));
    let fine_share = fine_share(&field, &wide, cells());
    let rays = rays::find(seen, &axes);
    let pieces = regions.iter().filter(|region| region.cells.len() * 20 >= main.cells.len()).count();
    let form = form(&axes, coherence, fine_share, pieces, rays.as_ref());
    Some(AuroraStructure {
        form,
        coherence,
        direction_deg: direction.to_degrees(),
        length_px: axes.length * seen.cell_px,
        width_px: axes.width * seen.cell_px,
        pieces,
        fine_share,
        rays,
        corona: None,
    })
}

/// Separate regions of the light under a mask with their structure, the brightest first; empty where it is one.
///
/// Rough cells cut a form into pieces that stand close together: what is four cells apart or less is one region.
pub(super) fn regions(seen: &Seen<'_>) -> Vec<AuroraRegion> {
    let light = |cells: &[usize]| cells.iter().map(|cell| seen.excess[*cell]).filter(|light| *light > 0.0).sum::<f64>();
    let joined = seen.grid.widened(seen.mask, JOINED_CELLS);
    let mut found: Vec<(Vec<usize>, f64)> = seen
        .grid
        .regions(&joined, LEAST_REGION_CELLS)
        .into_iter()
        .map(|region| region.cells.into_iter().filter(|cell| seen.mask[*cell]).collect::<Vec<_>>())
        .map(|cells| {
            let sum = light(&cells);
            (cells, sum)
        })
        .collect();
    let all: f64 = found.iter().map(|(_, light)| light).sum();
    found.retain(|(cells, light)| cells.len() >= LEAST_REGION_CELLS && *light >= LEAST_REGION_SHARE * all);
    found.sort_by(|a, b| b.1.total_cmp(&a.1));
    found.truncate(MOST_REGIONS);
    if found.len() < 2 {
        return Vec::new();
    }
    let of_region = |(cells, light): (Vec<usize>, f64)| {
        let mut mask = vec![false; seen.mask.len()];
        for cell in &cells {
            mask[*cell] = true;
        }
        let structure = structure(&Seen { mask: &mask, ..*seen })?;
        Some(AuroraRegion { cells, light_share: light / all, structure })
    };
    found.into_iter().filter_map(of_region).collect()
}

fn form(axes: &Axes, coherence: f64, fine: f64, pieces: usize, rays: Option<&AuroraRays>) -> AuroraForm {
    let is_long = axes.elongation() >= BAND_ELONGATION;
    match (is_long, rays.is_some()) {
        (true, true) => AuroraForm::RayedBand,
        (false, true) => AuroraForm::Rays,
        (true, false) => AuroraForm::Band,
        (false, false) if pieces >= LEAST_PATCHES => AuroraForm::Patches,
        (false, false) if coherence >= BAND_COHERENCE && fine >= VEIL_FINE_SHARE => AuroraForm::Band,
        (false, false) if fine < VEIL_FINE_SHARE => AuroraForm::Veil,
        (false, false) => AuroraForm::Patches,
    }
}

fn fine_share(field: &[f64], wide: &[f64], cells: impl Iterator<Item = usize>) -> f64 {
    let pairs: Vec<[f64; 2]> = cells.map(|cell| [field[cell], wide[cell]]).filter(|p| p[0].is_finite()).collect();
    let middle = quantile(pairs.iter().map(|pair| pair[0]), 0.5).unwrap_or(0.0);
    let all: f64 = pairs.iter().map(|pair| (pair[0] - middle).powi(2)).sum();
    let fine: f64 = pairs.iter().map(|pair| (pair[0] - pair[1]).powi(2)).sum();
    if all > 0.0 { (fine / all).min(1.0) } else { 0.0 }
}
