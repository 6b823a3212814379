use quantity::{Basis, Estimate};
use serde::{Deserialize, Serialize};

use super::profile::{across_hfd_px, median};
use crate::least_squares::Fit;
use crate::whole::index;
use crate::{Star, StarField};

/// Cells along the long and the short side of the frame.
const CELLS: [usize; 2] = [5, 3];
/// Stars that a cell needs before it says anything.
const LEAST_STARS_IN_CELL: usize = 3;
/// Stars that a trend over the frame needs: three for each of its numbers.
const LEAST_STARS_FOR_TREND: usize = 12;
/// Significance of a star whose width is used.
const LEAST_SNR: f64 = 12.0;
/// Errors by which a trend must differ from none.
const TREND_SIGMA: f64 = 4.0;
/// Share of the width by which a trend must change it to be worth telling.
const TREND_SHARE: f64 = 0.2;

/// Width of the stars in one part of the frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct FocusCell {
    /// Median half-flux diameter across the long axis, px; `None` with fewer than three stars.
    pub hfd_px: Option<f64>,
    /// Median elongation of those stars.
    pub elongation: Option<f64>,
    /// Stars in it.
    pub stars: usize,
}

/// Width of the stars over the frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FocusMap {
    /// Cells across.
    pub columns: usize,
    /// Cells down.
    pub rows: usize,
    /// Cells row by row from the top left.
    pub cells: Vec<FocusCell>,
}

/// How the width changes over the frame: `a + b u + c v + d (u² + v²)`, u and v from the middle in half diagonals.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct FocusTrend {
    /// Half-flux diameter in the middle, px.
    pub middle_px: Estimate,
    /// Change from the middle to half a diagonal away in the direction where it grows most, px: tilt or decentring.
    pub tilt_px: Estimate,
    /// That direction, from +x towards +y (down), degrees.
    pub tilt_direction_deg: f64,
    /// Change from the middle to the outermost stars, px: curvature of field, or the lens's corners.
    pub outer_px: Estimate,
    /// Whether the tilt is beyond its error and worth telling.
    pub tilted: bool,
    /// Whether the outermost stars differ beyond their error, and worth telling.
    pub curved: bool,
}

pub(crate) fn usable(field: &StarField) -> impl Iterator<Item = &Star> {
    field.stars.iter().filter(|star| star.shape_measured && !star.saturated && star.snr >= LEAST_SNR)
}

impl FocusMap {
    pub(crate) fn of(field: &StarField) -> Self {
        let [width, height] = field.size_px;
        let [columns, rows] = if width >= height { CELLS } else { [CELLS[1], CELLS[0]] };
        let mut found: Vec<[Vec<f64>; 2]> = vec![Default::default(); columns * rows];
        let cell = |value: f64, n: usize, cells: usize| index((value + 0.5) / n as f64 * cells as f64).min(cells - 1);
        for star in usable(field) {
            let place = cell(star.y_px, height, rows) * columns + cell(star.x_px, width, columns);
            found[place][0].push(across_hfd_px(star));
            found[place][1].push(star.elongation);
        }
        let told = |values: &mut Vec<f64>| (values.len() >= LEAST_STARS_IN_CELL).then(|| median(values));
        let cells = found.iter_mut().map(|[widths, elongations]| FocusCell {
            stars: widths.len(),
            hfd_px: told(widths),
            elongation: told(elongations),
        });
        Self { columns, rows, cells: cells.collect() }
    }
}

impl FocusTrend {
    pub(crate) fn of(field: &StarField) -> Option<Self> {
        let [width, height] = field.size_px.map(|n| n as f64);
        let half_diagonal = 0.5 * width.hypot(height);
        let rows: Vec<([f64; 4], f64)> = usable(field)
            .map(|star| {
                let u = (star.x_px - 0.5 * (width - 1.0)) / half_diagonal;
                let v = (star.y_px - 0.5 * (height - 1.0)) / half_diagonal;
                ([1.0, u, v, u * u + v * v], across_hfd_px(star))
            })
            .collect();
        if rows.len() < LEAST_STARS_FOR_TREND {
            return None;
        }
        let fit = Fit::robust(&rows)?;
        let [middle, by_u, by_v, by_square] = fit.values;
        let outermost = rows.iter().map(|(row, _)| row[3]).fold(0.0, f64::max);
        let (outer, outer_sigma) = (by_square * outermost, fit.sigmas[3] * outermost);
        let tilt = by_u.hypot(by_v);
        let tilt_sigma = if tilt > 0.0 {
            ((by_u * fit.sigmas[1]).powi(2) + (by_v * fit.sigmas[2]).powi(2)).sqrt() / tilt
        } else {
            fit.sigmas[1]
        };
        let beyond = |value: f64, sigma: f64| value.abs() > TREND_SIGMA * sigma && value.abs() > TREND_SHARE * middle;
        let estimate = |value: f64, sigma: f64| Estimate::symmetric(value, sigma, Basis::Measured);
        Some(Self {
            middle_px: estimate(middle, fit.sigmas[0]),
            tilt_px: estimate(tilt, tilt_sigma),
            tilt_direction_deg: by_v.atan2(by_u).to_degrees(),
            outer_px: estimate(outer, outer_sigma),
            tilted: beyond(tilt, tilt_sigma),
            curved: beyond(outer, outer_sigma),
        })
    }
}
