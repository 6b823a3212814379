//! A form laid out in its layer: how long, how wide, which way, how straight.

use quantity::Horizontal;
use serde::{Deserialize, Serialize};

use crate::keogram::EARTH_RADIUS_KM;

/// Lowest altitude from which light is laid out, degrees: below, a degree is hundreds of km.
const LEAST_ALTITUDE_DEG: f64 = 8.0;
/// Fewest cells that have a shape.
const LEAST_CELLS: usize = 12;
/// Pieces along a form in which its middle line is found.
const PIECES: usize = 16;
/// Fewest of them that show how straight it is.
const LEAST_PIECES: usize = 5;

/// A cell of light in the sky.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LitCell {
    /// Where it is, as seen.
    pub direction: Horizontal,
    /// Its light above the sky's own, any unit.
    pub light: f64,
}

/// A form in the layer at an assumed height.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct FormGeometry {
    /// Length along its long axis, km (four standard deviations of its light).
    pub length_km: f64,
    /// Width across its own middle line, km (four standard deviations, median over the pieces along it).
    pub width_km: f64,
    /// Angle between its long axis and magnetic east-west, degrees, 0 to 90.
    pub tilt_deg: f64,
    /// How far its middle line strays from a smooth curve (second degree), km, root mean square.
    pub stray_km: f64,
    /// Mean distance poleward of the observer, km.
    pub poleward_km: f64,
    /// Lowest and highest altitude, degrees.
    pub altitude_deg: [f64; 2],
    /// Angle that it spans as seen from the ground, degrees.
    pub span_deg: f64,
}

/// Lays a form out in the layer.
///
/// * `poleward_azimuth_deg`: of the nearer magnetic pole.
/// * `height_km`: at which the light is taken to be.
///
/// None where too little of it stands above 8 degrees.
pub fn form_geometry(cells: &[LitCell], poleward_azimuth_deg: f64, height_km: f64) -> Option<FormGeometry> {
    let placed: Vec<([f64; 2], f64)> = cells
        .iter()
        .filter(|cell| cell.direction.altitude_deg >= LEAST_ALTITUDE_DEG && cell.light > 0.0)
        .map(|cell| (in_layer_km(cell.direction, poleward_azimuth_deg, height_km), weight(cell, height_km)))
        .collect();
    if placed.len() < LEAST_CELLS {
        return None;
    }
    let total: f64 = placed.iter().map(|(_, weight)| weight).sum();
    let mean = [0, 1].map(|axis| placed.iter().map(|(at, weight)| at[axis] * weight).sum::<f64>() / total);
    let moment = |a: usize, b: usize| {
        placed.iter().map(|(at, weight)| (at[a] - mean[a]) * (at[b] - mean[b]) * weight).sum::<f64>() / total
    };
    let (ee, pp, ep) = (moment(0, 0), moment(1, 1), moment(0, 1));
    let (half, split) = (0.5 * (ee + pp), (0.5 * (ee - pp)).hypot(ep));
    let angle = 0.5 * (2.0 * ep).atan2(ee - pp);
    let (sin, cos) = angle.sin_cos();
    let turned: Vec<([f64; 2], f64)> = placed
        .iter()
        .map(|(at, weight)| {
            let [e, p] = [at[0] - mean[0], at[1] - mean[1]];
            ([e * cos + p * sin, p * cos - e * sin], *weight)
        })
        .collect();
    let (stray_km, width_km) = middle_line(&turned, 2.0 * (half + split).sqrt())
        .unwrap_or((f64::INFINITY, 4.0 * (half - split).max(0.0).sqrt()));
    let altitudes = cells.iter().map(|cell| cell.direction.altitude_deg);
    let altitude_deg = altitudes.fold([90.0_f64, -90.0_f64], |[low, high], alt| [low.min(alt), high.max(alt)]);
    Some(FormGeometry {
        length_km: 4.0 * (half + split).sqrt(),
        width_km,
        tilt_deg: angle.to_degrees().abs(),
        stray_km,
        poleward_km: mean[1],
        altitude_deg,
        span_deg: span_deg(cells),
    })
}

/// Magnetic east and poleward distance of a direction's light from above the observer, km along the layer.
fn in_layer_km(direction: Horizontal, poleward_azimuth_deg: f64, height_km: f64) -> [f64; 2] {
    let altitude = direction.altitude_deg.to_radians();
    let radius_km = EARTH_RADIUS_KM + height_km;
    let arc_km = radius_km * ((EARTH_RADIUS_KM * altitude.cos() / radius_km).acos() - altitude);
    let (sin, cos) = (direction.azimuth_deg - poleward_azimuth_deg).to_radians().sin_cos();
    [arc_km * sin, arc_km * cos]
}

/// Light times the area of layer behind a cell of sky: cells low down stand for more of it.
fn weight(cell: &LitCell, height_km: f64) -> f64 {
    let altitude = cell.direction.altitude_deg.to_radians();
    let shell = EARTH_RADIUS_KM / (EARTH_RADIUS_KM + height_km) * altitude.cos();
    let slant = 1.0 / (1.0 - shell * shell).sqrt();
    cell.light * slant.powi(3)
}

/// Root mean square distance of the middle line from a curve of the second degree, and the width across it, km.
fn middle_line(cells: &[([f64; 2], f64)], reach_km: f64) -> Option<(f64, f64)> {
    let mut pieces: Vec<Vec<(f64, f64)>> = vec![Vec::new(); PIECES];
    for ([along, across], weight) in cells {
        let share = f64::midpoint(along / reach_km, 1.0);
        if (0.0..1.0).contains(&share) {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "below the number of pieces")]
            let piece = (share * PIECES as f64) as usize;
            pieces[piece].push((*across, *weight));
        }
    }
    let step_km = 2.0 * reach_km / PIECES as f64;
    let mut middles = Vec::new();
    let mut widths = Vec::new();
    for (index, piece) in pieces.iter().enumerate() {
        let sum: f64 = piece.iter().map(|(_, weight)| weight).sum();
        if piece.is_empty() || sum <= 0.0 {
            continue;
        }
        let middle = piece.iter().map(|(across, weight)| across * weight).sum::<f64>() / sum;
        let spread = piece.iter().map(|(across, weight)| (across - middle).powi(2) * weight).sum::<f64>() / sum;
        middles.push([(index as f64 + 0.5) * step_km - reach_km, middle]);
        widths.push(4.0 * spread.sqrt());
    }
    if middles.len() < LEAST_PIECES {
        return None;
    }
    let width_km = crate::robust::median(&mut widths)?;
    let residuals = off_curve(&middles)?;
    let square = residuals.iter().map(|off| off * off).sum::<f64>() / (residuals.len() - 3).max(1) as f64;
    Some((square.sqrt(), width_km))
}

/// Distances of points from the curve of the second degree through them, least squares.
fn off_curve(points: &[[f64; 2]]) -> Option<Vec<f64>> {
    let scale = points.iter().map(|[x, _]| x.abs()).fold(f64::MIN_POSITIVE, f64::max);
    let basis = |x: f64| [1.0, x / scale, (x / scale).powi(2)];
    let mut normal = [[0.0; 4]; 3];
    for [x, y] in points {
        let row = basis(*x);
        for (i, line) in normal.iter_mut().enumerate() {
            for (j, place) in line.iter_mut().enumerate() {
                *place += row[i] * if j < 3 { row[j] } else { *y };
            }
        }
    }
    for i in 0..3 {
        let pivot = normal[i];
        if pivot[i].abs() < 1e-12 {
            return None;
        }
        for (j, line) in normal.iter_mut().enumerate() {
            if j != i {
                let share = line[i] / pivot[i];
                line.iter_mut().zip(pivot).for_each(|(place, of)| *place -= share * of);
            }
        }
    }
    let factor = [0, 1, 2].map(|i| normal[i][3] / normal[i][i]);
    let curve = |x: f64| basis(x).iter().zip(factor).map(|(part, factor)| part * factor).sum::<f64>();
    Some(points.iter().map(|[x, y]| y - curve(*x)).collect())
}

/// Widest angle between two cells, looked for among two hundred.
fn span_deg(cells: &[LitCell]) -> f64 {
    let step = cells.len().div_ceil(200).max(1);
    let some: Vec<Horizontal> = cells.iter().step_by(step).map(|cell| cell.direction).collect();
    let widest = |from: &Horizontal| some.iter().map(|to| from.separation_deg(*to)).fold(0.0, f64::max);
    some.iter().map(widest).fold(0.0, f64::max)
}
