//! Points of light of any sharpness, for pictures made so small that stars are single pixels.

use super::field::{Star, StarField};
use super::mesh::lower_median;
use super::moments::Moments;
use crate::Plane;

/// Half the side of the square from which a pixel's sky is taken, px, and of what is left out around the pixel.
const AROUND: usize = 6;
const CORE: usize = 1;
/// Height of a point over its sky, in scatters of that sky.
const LEAST_SIGMA: f32 = 4.5;
/// Share of its height by which the pixels two away must be lower: broad light is no point.
const LEAST_DROP: f32 = 0.4;
/// Points kept, the highest.
const MOST_POINTS: usize = 400;
/// Variance said of a point, px²: a pixel's own and as much again.
const POINT_VARIANCE_PX2: f64 = 0.17;
/// A scatter's median deviation in standard deviations.
const SIGMA_PER_MAD: f32 = 1.4826;
/// Largest picture that is searched, px: in larger ones stars have a shape.
const LARGEST_PX: usize = 1_200_000;

/// Points that stand out from the sky around them, hot pixels among them, in place of a field's stars.
///
/// * `inside`: whether a pixel is of the sky.
///
/// `None` for a picture too large to need it.
pub(crate) fn points(plane: &Plane, field: &StarField, inside: impl Fn([f64; 2]) -> bool) -> Option<StarField> {
    let (width, height) = (plane.width(), plane.height());
    if width * height > LARGEST_PX || width <= 2 * AROUND || height <= 2 * AROUND {
        return None;
    }
    let mut found = Vec::new();
    let mut sky = Vec::new();
    for y in AROUND..height - AROUND {
        for x in AROUND..width - AROUND {
            if is_highest(plane, x, y) && inside([x as f64, y as f64]) {
                found.extend(point(plane, x, y, &mut sky));
            }
        }
    }
    found.sort_by(|a, b| b.flux.total_cmp(&a.flux));
    found.truncate(MOST_POINTS);
    Some(StarField { stars: found, typical: None, notes: Vec::new(), ..field.clone() })
}

/// Of equal pixels the first one is the highest.
fn is_highest(plane: &Plane, x: usize, y: usize) -> bool {
    let value = plane.row(y).at(x);
    (y - 1..=y + 1).all(|row| {
        (x - 1..=x + 1).all(|column| {
            let other = plane.row(row).at(column);
            let first = row < y || (row == y && column < x);
            (row, column) == (y, x) || other < value || (!first && other <= value)
        })
    })
}

fn point(plane: &Plane, x: usize, y: usize, sky: &mut Vec<f32>) -> Option<Star> {
    sky.clear();
    for row in y - AROUND..=y + AROUND {
        for column in x - AROUND..=x + AROUND {
            if row.abs_diff(y) > CORE || column.abs_diff(x) > CORE {
                sky.push(plane.row(row).at(column));
            }
        }
    }
    let level = lower_median(sky)?;
    for value in sky.iter_mut() {
        *value = (*value - level).abs();
    }
    let sigma = SIGMA_PER_MAD * lower_median(sky)?;
    let peak = plane.row(y).at(x) - level;
    // four pixels two away in every direction: a band or an edge is as bright along one of them
    let flank = [[2isize, 0], [0, 2], [2, 2], [2, -2]].into_iter().map(|[dx, dy]| {
        let at = |sign: isize| {
            let (column, row) = (x.checked_add_signed(sign * dx)?, y.checked_add_signed(sign * dy)?);
            plane.row(row).get(column)
        };
        at(1).unwrap_or(level).min(at(-1).unwrap_or(level)) - level
    });
    if sigma <= 0.0 || peak < LEAST_SIGMA * sigma || flank.fold(f32::MIN, f32::max) > (1.0 - LEAST_DROP) * peak {
        return None;
    }
    let (mut sum, mut moment_x, mut moment_y) = (0.0, 0.0, 0.0);
    for row in y - 1..=y + 1 {
        for column in x - 1..=x + 1 {
            let light = f64::from((plane.row(row).at(column) - level).max(0.0));
            sum += light;
            moment_x += light * (column as f64 - x as f64);
            moment_y += light * (row as f64 - y as f64);
        }
    }
    let moments = Moments::round(POINT_VARIANCE_PX2);
    (sum > 0.0).then(|| Star {
        x_px: x as f64 + moment_x / sum,
        y_px: y as f64 + moment_y / sum,
        flux: sum,
        peak: f64::from(peak),
        background: f64::from(level),
        moments,
        fwhm_px: moments.fwhm_px(),
        hfd_px: moments.fwhm_px(),
        elongation: 0.0,
        angle_deg: 0.0,
        snr: f64::from(peak / sigma),
        saturated: false,
        shape_measured: false,
    })
}
