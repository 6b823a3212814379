//! Which way a camera looked among the stars, and what of the picture is level or ground.

use frame::{Frame, LensSolution};

use super::vector::{Vector, dot, of_ra_dec, unit};
use crate::check::FrameLayers;

/// A camera among the stars: directions are ICRS vectors.
#[derive(Debug, Clone)]
pub(super) struct Camera {
    /// Middle of the picture.
    pub(super) forward: Vector,
    /// Its error, degrees: the root mean square by which stars lie off their places, one deviation of a single star.
    pub(super) forward_sigma_deg: f64,
    /// Across the picture as shown.
    pub(super) right: Vector,
    /// Towards the top of the picture as shown.
    pub(super) up: Vector,
    /// Stars of the catalogue that were found.
    pub(super) stars: Vec<Vector>,
    /// Places of the skyline: ground below, sky above.
    pub(super) skyline: Vec<Vector>,
    /// The horizon as somebody drew it.
    pub(super) horizon: Option<[Vector; 2]>,
    /// Whether it sees most of a half sky.
    pub(super) is_all_sky: bool,
}

/// Stars and places of the skyline that are asked, at most.
const MOST_STARS: usize = 80;
const MOST_SKYLINE: usize = 60;
/// Step for the axes of the picture, px: small against any lens's curvature, large against rounding.
const STEP_PX: f64 = 4.0;
/// Field from which a camera is one for the whole sky, degrees both ways.
const ALL_SKY_DEG: f64 = 140.0;
/// Share of the picture's columns that must show sky over ground for it to have a skyline.
const LEAST_SKYLINE: f64 = 0.3;

impl Camera {
    pub(super) fn of(
        frame: &Frame,
        solution: &LensSolution,
        layers: &FrameLayers,
        horizon_px: Option<[[f64; 2]; 2]>,
    ) -> Option<Self> {
        let at = |pixel: [f64; 2]| solution.sky_of(pixel).map(of_ra_dec);
        let middle = frame.stored_size.map(|side| 0.5 * (side as f64 - 1.0));
        let forward = at(middle)?;
        let toward = |step: [f64; 2]| {
            let ahead = at([middle[0] + STEP_PX * step[0], middle[1] + STEP_PX * step[1]])?;
            let along = dot(ahead, forward);
            unit([0, 1, 2].map(|axis| ahead[axis] - along * forward[axis]))
        };
        let up_step = stored_step(frame, [0.0, -1.0])?;
        let stars = spread(solution.pairs.iter().map(|pair| pair.found_px).collect(), MOST_STARS);
        let skyline = if solution.field_deg.iter().all(|field| *field >= ALL_SKY_DEG) {
            Vec::new()
        } else {
            spread(skyline_px(layers, up_step), MOST_SKYLINE)
        };
        let beside = at([middle[0] + STEP_PX, middle[1]])?;
        let pixel_deg = dot(beside, forward).clamp(-1.0, 1.0).acos().to_degrees() / STEP_PX;
        Some(Self {
            forward,
            forward_sigma_deg: pixel_deg * solution.residual_px,
            right: toward(stored_step(frame, [1.0, 0.0])?)?,
            up: toward(up_step)?,
            stars: stars.into_iter().filter_map(at).collect(),
            skyline: skyline.into_iter().filter_map(at).collect(),
            horizon: match horizon_px {
                Some([a, b]) => Some([at(stored_place(frame, a)?)?, at(stored_place(frame, b)?)?]),
                None => None,
            },
            is_all_sky: solution.field_deg.iter().all(|field| *field >= ALL_SKY_DEG),
        })
    }
}

/// The step over the stored picture that is shown as this one.
pub(super) fn stored_step(frame: &Frame, shown: [f64; 2]) -> Option<[f64; 2]> {
    let origin = frame.displayed([0.0, 0.0]);
    [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]].into_iter().find(|step| {
        let there = frame.displayed(*step);
        (there[0] - origin[0] - shown[0]).abs() + (there[1] - origin[1] - shown[1]).abs() < 0.5
    })
}

/// The stored place of a shown one.
fn stored_place(frame: &Frame, shown: [f64; 2]) -> Option<[f64; 2]> {
    let origin = frame.displayed([0.0, 0.0]);
    let [across, down] = [stored_step(frame, [1.0, 0.0])?, stored_step(frame, [0.0, 1.0])?];
    let (x, y) = (shown[0] - origin[0], shown[1] - origin[1]);
    Some([across[0] * x + down[0] * y, across[1] * x + down[1] * y])
}

/// Edges between a cell of ground and the sky over it, px as stored; empty where too few columns have one.
pub(super) fn skyline_px(layers: &FrameLayers, up: [f64; 2]) -> Vec<[f64; 2]> {
    let (columns, rows) = (layers.columns, layers.rows);
    let ground = |column: usize, row: usize| layers.ground.get(row * columns + column).copied().unwrap_or(false);
    let mut edges = Vec::new();
    for row in 0..rows {
        for column in 0..columns {
            let above = match (up[0] > 0.5, up[0] < -0.5, up[1] > 0.5) {
                (true, _, _) => (column + 1 < columns).then(|| (column + 1, row)),
                (_, true, _) => column.checked_sub(1).map(|column| (column, row)),
                (_, _, true) => (row + 1 < rows).then(|| (column, row + 1)),
                _ => row.checked_sub(1).map(|row| (column, row)),
            };
            if let Some((x, y)) = above
                && ground(column, row)
                && !ground(x, y)
            {
                let middle = |index: usize| (index as f64 + 0.5) * layers.cell_px - 0.5;
                edges.push([0.5 * (middle(column) + middle(x)), 0.5 * (middle(row) + middle(y))]);
            }
        }
    }
    let across = if up[0].abs() > 0.5 { rows } else { columns };
    if (edges.len() as f64) < LEAST_SKYLINE * across as f64 { Vec::new() } else { edges }
}

/// Every so manieth, so that at most so many are left.
pub(super) fn spread(places: Vec<[f64; 2]>, most: usize) -> Vec<[f64; 2]> {
    let step = places.len().div_ceil(most).max(1);
    places.into_iter().step_by(step).collect()
}
