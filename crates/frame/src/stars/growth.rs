use super::local_sky::LocalSky;
use crate::Plane;
use crate::whole::{clipped, index};

/// Light within a circle and how it is spread.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Growth {
    pub(crate) flux: f64,
    /// Diameter of the circle that holds half of the flux.
    pub(crate) hfd_px: f64,
}

/// Rings per pixel of radius in the curve of growth.
const RINGS_PER_PX: f64 = 4.0;
/// Places of the points that stand for a pixel, along each side.
const FIVE: [f64; 5] = [0.1 - 0.5, 0.3 - 0.5, 0.0, 0.7 - 0.5, 0.9 - 0.5];
const THREE: [f64; 3] = [0.5 / 3.0 - 0.5, 0.0, 2.5 / 3.0 - 0.5];
const ONE: [f64; 1] = [0.0];
/// Distances from the centre up to which five and three points a side are needed, px: further out the light is even
/// across one pixel. The circle's own edge is divided as the second.
const NEAR_PX: [f64; 2] = [2.0, 4.0];

/// Sums the light within `radius_px`, ring by ring. `None` without light.
pub(crate) fn growth(plane: &Plane, sky: &LocalSky, [x, y]: [f64; 2], radius_px: f64) -> Option<Growth> {
    let mut rings = vec![0.0; index((radius_px * RINGS_PER_PX).ceil()).max(1)];
    for row in clipped(y, radius_px + 1.0, plane.height())? {
        let samples = plane.row(row);
        for column in clipped(x, radius_px + 1.0, plane.width())? {
            let value = f64::from(samples.at(column)) - sky.at(column as f64, row as f64);
            if !value.is_finite() {
                continue;
            }
            let (dx, dy) = (column as f64 - x, row as f64 - y);
            let r = (dx * dx + dy * dy).sqrt();
            match r {
                _ if r < NEAR_PX[0] => spread(&mut rings, value, [dx, dy], FIVE),
                _ if r < NEAR_PX[1] || r > radius_px - 1.0 => spread(&mut rings, value, [dx, dy], THREE),
                _ => spread(&mut rings, value, [dx, dy], ONE),
            }
        }
    }
    let flux: f64 = rings.iter().sum();
    (flux > 0.0).then(|| Growth { flux, hfd_px: 2.0 * half_radius(&rings, 0.5 * flux) })
}

/// Adds a pixel's light to the rings its points fall in; what falls beyond the last ring is left out.
fn spread<const POINTS: usize>(rings: &mut [f64], value: f64, [dx, dy]: [f64; 2], points: [f64; POINTS]) {
    let share = value * (1.0 / (POINTS * POINTS) as f64);
    for down in points {
        for across in points {
            let (u, v) = (dx + across, dy + down);
            let r = (u * u + v * v).sqrt();
            if let Some(ring) = rings.get_mut(index(r * RINGS_PER_PX)) {
                *ring += share;
            }
        }
    }
}

/// Radius at which the sum over the rings first reaches `half`.
fn half_radius(rings: &[f64], half: f64) -> f64 {
    let mut sum = 0.0;
    for (i, light) in rings.iter().enumerate() {
        if sum + light >= half {
            let share = if *light > 0.0 { (half - sum) / light } else { 0.0 };
            return (i as f64 + share.clamp(0.0, 1.0)) / RINGS_PER_PX;
        }
        sum += light;
    }
    rings.len() as f64 / RINGS_PER_PX
}
