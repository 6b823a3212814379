//! How much of the sky the starry part of a picture shows.

use super::model::LensModel;
use super::spots::Spots;
use super::vector::{Vector, cross, dot};

/// Cells along each side in which spots are looked for.
const CELLS: u8 = 10;

/// Solid angle of the cells that hold a spot, steradian. Foreground, and what lies outside an image circle, hold few.
pub(crate) fn solid_angle(spots: &Spots, model: &LensModel) -> f64 {
    let ready = model.ready();
    let side = |axis: usize| spots.size_px[axis] / f64::from(CELLS);
    let corner = |i: u8, j: u8| ready.direction_of([f64::from(i) * side(0) - 0.5, f64::from(j) * side(1) - 0.5]);
    let holds = |i: u8, j: u8| {
        let (x, y) = (f64::from(i) * side(0), f64::from(j) * side(1));
        spots.places.iter().any(|p| p[0] >= x && p[0] < x + side(0) && p[1] >= y && p[1] < y + side(1))
    };
    let mut total = 0.0;
    for i in 0..CELLS {
        for j in 0..CELLS {
            let corners = [corner(i, j), corner(i + 1, j), corner(i + 1, j + 1), corner(i, j + 1)];
            if let [Some(a), Some(b), Some(c), Some(d)] = corners
                && holds(i, j)
            {
                total += triangle(a, b, c) + triangle(a, c, d);
            }
        }
    }
    total
}

/// Solid angle of a spherical triangle (van Oosterom & Strackee 1983, *IEEE Trans. Biomed. Eng.* 30, 125).
fn triangle(a: Vector, b: Vector, c: Vector) -> f64 {
    let below = 1.0 + dot(a, b) + dot(b, c) + dot(c, a);
    2.0 * dot(a, cross(b, c)).abs().atan2(below)
}
