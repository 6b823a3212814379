//! The sky's own level behind the aurora: a smooth surface through the cells that hold none.

use super::grid::{Grid, quantile};
use crate::least_squares::{Fit, dot};

/// Cells that the surface rests on, at most: 65 000 would cost more and say no more.
const MOST_CELLS: usize = 1500;
/// Share of the sky below which the cells without aurora do not carry a surface.
const LEAST_SHARE: f64 = 0.12;
/// Place in order of the level that stands for the sky where aurora is everywhere.
const DARKEST: f64 = 0.05;

/// Level of the sky without aurora in every cell, of one channel.
#[derive(Debug, Clone)]
pub(super) struct OwnLight {
    pub(super) level: Vec<f64>,
    /// Whether too little of the sky is free of aurora, so that its darkest cells stand for it.
    pub(super) is_darkest: bool,
}

fn row(grid: Grid, cell: usize) -> [f64; 7] {
    let long = grid.columns.max(grid.rows).max(2) as f64;
    let [x, y] = grid.place(cell);
    let (x, y) = (2.0 * x / long - 1.0, 2.0 * y / long - 1.0);
    // the last one is the brightening towards the horizon of an all-sky lens, or vignetting
    [1.0, x, y, x * x, x * y, y * y, (x * x + y * y).powi(2)]
}

/// A curved surface (second order and a radial fourth, robust) through `free` cells of `values`, kept between the values seen there.
pub(super) fn own_light(grid: Grid, values: &[f64], usable: &[bool], free: &[bool]) -> OwnLight {
    let cells: Vec<usize> = (0..values.len()).filter(|cell| free[*cell] && values[*cell].is_finite()).collect();
    let sky = usable.iter().filter(|usable| **usable).count();
    let seen = || cells.iter().map(|cell| values[*cell]);
    let fitted = (cells.len() as f64 >= LEAST_SHARE * sky as f64 && cells.len() >= 40).then(|| {
        let step = cells.len().div_ceil(MOST_CELLS);
        let rows: Vec<([f64; 7], f64)> =
            cells.iter().step_by(step).map(|cell| (row(grid, *cell), values[*cell])).collect();
        Fit::robust(&rows)
    });
    if let (Some(fit), Some(low), Some(high)) = (fitted.flatten(), quantile(seen(), 0.02), quantile(seen(), 0.98)) {
        let level = (0..values.len()).map(|cell| dot(&row(grid, cell), &fit.values).clamp(low, high)).collect();
        return OwnLight { level, is_darkest: false };
    }
    let all = values.iter().zip(usable).filter(|pair| *pair.1).map(|pair| *pair.0);
    OwnLight { level: vec![quantile(all, DARKEST).unwrap_or(f64::NAN); values.len()], is_darkest: true }
}
