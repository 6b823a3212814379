//! The coarse lattice on which smooth light is worked out.

use optics::{Camera, RadialLaw, View};
use quantity::Horizontal;
use sky::Air;

use crate::vector::V3;

/// Share of the picture's pixels that are cells: two pixels to a side in small pictures.
const CELLS_PER_PIXEL: f64 = 0.25;
/// Most cells.
const MOST_CELLS: f64 = 1.2e6;
/// Cells beyond each edge of the picture.
const MARGIN: usize = 3;
/// Entries of the table of solid angles.
const TABLE: usize = 1024;

/// Cells over a picture: cell (0, 0) lies `MARGIN` cells outside the first pixel.
#[derive(Debug, Clone)]
pub(crate) struct Grid {
    /// Pixels along the side of a cell.
    pub(crate) cell_px: usize,
    pub(crate) columns: usize,
    pub(crate) rows: usize,
    /// Apparent direction of each cell's middle, east, north, up; up is NaN where the lens makes no image.
    pub(crate) directions: Vec<[f32; 3]>,
    pub(crate) view: View,
    centre_px: [f64; 2],
    solid_angle: RadiusTable,
}

/// A function of the distance from the axis.
#[derive(Debug, Clone)]
pub(crate) struct RadiusTable {
    step_px: f64,
    values: Vec<f64>,
}

impl RadiusTable {
    pub(crate) fn new(longest_px: f64, f: impl Fn(f64) -> f64) -> Self {
        let step_px = longest_px / (TABLE - 2) as f64;
        Self { step_px, values: (0..TABLE).map(|i| f(i as f64 * step_px)).collect() }
    }

    pub(crate) fn at(&self, radius_px: f64) -> f64 {
        let position = (radius_px / self.step_px).clamp(0.0, (TABLE - 2) as f64);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the table")]
        let index = position as usize;
        let share = position - index as f64;
        self.values[index] * (1.0 - share) + self.values[(index + 1).min(TABLE - 1)] * share
    }
}

impl Grid {
    pub(crate) fn new(camera: &Camera) -> Self {
        let pixels = f64::from(camera.width_px) * f64::from(camera.height_px);
        let cells = (pixels * CELLS_PER_PIXEL).clamp(1.0, MOST_CELLS);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small number above 0")]
        let cell_px = ((pixels / cells).sqrt().ceil() as usize).max(1);
        let count = |pixels: u32| (pixels as usize).div_ceil(cell_px) + 1 + 2 * MARGIN;
        let (columns, rows) = (count(camera.width_px), count(camera.height_px));
        let view = camera.view();
        let reach = (columns.max(rows) * cell_px) as f64;
        let law = RadialLaw::new(camera.projection, camera.focal_mm / camera.pixel_mm, camera.k1, camera.k2);
        let focal_px = camera.focal_mm / camera.pixel_mm;
        let mut grid = Self {
            cell_px,
            columns,
            rows,
            directions: Vec::with_capacity(columns * rows),
            view,
            centre_px: camera.centre_px,
            solid_angle: RadiusTable::new(1.5 * reach, |radius| pixel_solid_angle(&law, radius, focal_px)),
        };
        for row in 0..rows {
            for column in 0..columns {
                let direction = view.direction_of(grid.pixel(column, row)).map(Horizontal::east_north_up);
                grid.directions.push(narrow(direction.unwrap_or([f64::NAN; 3])));
            }
        }
        grid
    }

    pub(crate) fn len(&self) -> usize {
        self.columns * self.rows
    }

    /// Pixel of a cell's middle.
    pub(crate) fn pixel(&self, column: usize, row: usize) -> [f64; 2] {
        [self.cell_px * column, self.cell_px * row].map(|px| px as f64 - (MARGIN * self.cell_px) as f64)
    }

    /// Cell coordinates of a pixel; whole numbers are middles of cells.
    pub(crate) fn cell(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let cell = self.cell_px as f64;
        [x / cell + MARGIN as f64, y / cell + MARGIN as f64]
    }

    /// Pixel of cell coordinates.
    pub(crate) fn pixel_at(&self, cell: [f64; 2]) -> [f64; 2] {
        cell.map(|at| (at - MARGIN as f64) * self.cell_px as f64)
    }

    /// Distance of a pixel from the axis.
    pub(crate) fn radius_px(&self, [x, y]: [f64; 2]) -> f64 {
        (x - self.centre_px[0]).hypot(y - self.centre_px[1])
    }

    /// Solid angle of a cell, sr.
    pub(crate) fn cell_sr(&self, pixel: [f64; 2]) -> f64 {
        (self.cell_px * self.cell_px) as f64 * self.solid_angle.at(self.radius_px(pixel))
    }

    /// Solid angle of a pixel at a distance from the axis, sr.
    pub(crate) fn pixel_sr(&self, radius_px: f64) -> f64 {
        self.solid_angle.at(radius_px)
    }

    /// Apparent altitude of a cell, degrees; NaN where there is no image.
    pub(crate) fn altitude_deg(&self, cell: usize) -> f64 {
        f64::from(self.directions[cell][2]).asin().to_degrees()
    }

    pub(crate) fn direction(&self, cell: usize) -> Horizontal {
        Horizontal::from_east_north_up(self.directions[cell].map(f64::from))
    }

    /// Values of a function that changes little from cell to cell, asked at every `step`-th cell and straight between.
    pub(crate) fn smooth<const N: usize>(&self, step: usize, mut f: impl FnMut(usize) -> [f32; N]) -> Vec<[f32; N]> {
        let count = |cells: usize| (cells - 1).div_ceil(step) + 1;
        let (columns, rows) = (count(self.columns), count(self.rows));
        let place = |i: usize, cells: usize| (i * step).min(cells - 1);
        let knots: Vec<[f32; N]> = (0..columns * rows)
            .map(|i| f(place(i / columns, self.rows) * self.columns + place(i % columns, self.columns)))
            .collect();
        let between = |cell: usize, cells: usize| {
            let knot = (cell / step).min(count(cells).saturating_sub(2));
            let (from, to) = (place(knot, cells), place(knot + 1, cells));
            let share = if to > from { (cell - from) as f32 / (to - from) as f32 } else { 0.0 };
            (knot, (knot + 1).min(count(cells) - 1), share)
        };
        let across: Vec<_> = (0..self.columns).map(|column| between(column, self.columns)).collect();
        let mut all = Vec::with_capacity(self.len());
        for row in 0..self.rows {
            let (top, bottom, down) = between(row, self.rows);
            for (left, right, over) in &across {
                let knot = |row: usize, column: usize| &knots[row * columns + column];
                let (a, b, c, d) = (knot(top, *left), knot(top, *right), knot(bottom, *left), knot(bottom, *right));
                all.push(std::array::from_fn(|n| {
                    let (above, below) = (a[n] + (b[n] - a[n]) * over, c[n] + (d[n] - c[n]) * over);
                    above + (below - above) * down
                }));
            }
        }
        all
    }
}

/// Solid angle that a pixel at a distance from the axis sees, sr, by the slope of the lens's law.
fn pixel_solid_angle(law: &RadialLaw, radius_px: f64, focal_px: f64) -> f64 {
    /// Half a step for the slope, px.
    const HALF_PX: f64 = 0.5;
    let radius = radius_px.max(1.0);
    let (Some(inner), Some(angle), Some(outer)) =
        (law.angle_rad(radius - HALF_PX), law.angle_rad(radius), law.angle_rad(radius + HALF_PX))
    else {
        return focal_px.powi(-2);
    };
    angle.sin() * (outer - inner) / (2.0 * HALF_PX * radius)
}

#[expect(clippy::cast_possible_truncation, reason = "a direction to a hundredth of an arcsecond")]
pub(crate) fn narrow(v: V3) -> [f32; 3] {
    v.map(|x| x as f32)
}

/// Where a direction is seen through the air: unit vector of a vector without air.
pub(crate) fn lifted(air: &Air, vector: V3) -> V3 {
    /// Above this the flat formula is the same to 0.1".
    const HIGH_SIN: f64 = 0.5;
    let length = crate::vector::norm(vector).max(1e-12);
    let [east, north, up] = crate::vector::scaled(vector, 1.0 / length);
    let across = east.hypot(north);
    if across < 1e-9 {
        return [east, north, up];
    }
    let lift = if up > HIGH_SIN {
        air.refraction_deg(45.0).to_radians() * across / up
    } else {
        air.refraction_deg(up.atan2(across).to_degrees()).to_radians()
    };
    let (sin, cos) = lift.sin_cos();
    let scale = (across * cos - up * sin) / across;
    [east * scale, north * scale, up * cos + across * sin]
}
