//! Ways from sky to ground over the cells of a frame.

use super::circle::SkyCircle;
use super::features::Features;
use crate::Orientation;
use crate::whole::index;

/// Spokes of a circle.
const DIRECTIONS: usize = 128;
/// Share of the radius that is always sky: no mask or tree over a fisheye reaches further in.
const FREE_SHARE: f64 = 0.5;

/// Dark end of a radius from which it is a mask: cells, and share of the part that is looked at.
const LEAST_MASK_CELLS: usize = 2;
const LEAST_MASK: f64 = 0.16;

/// Lists of cells, each from the sky to the ground, neighbours beside each other.
#[derive(Debug, Clone)]
pub(super) struct Spokes {
    pub(super) cells: Vec<Vec<usize>>,
    circle: Option<[f64; 4]>,
    size: [usize; 2],
}

impl Spokes {
    /// Columns of the picture as shown, from the top down.
    pub(super) fn upright(cells: &Features, orientation: Orientation) -> Self {
        let size = [cells.columns, cells.rows];
        let shown = orientation.displayed_size(size);
        let mut lists = vec![vec![0; shown[1]]; shown[0]];
        for i in 0..cells.count() {
            let at = orientation.displayed([(i % cells.columns) as f64, (i / cells.columns) as f64], size);
            let [x, y] = at.map(|place| index(place.round()));
            if let Some(cell) = lists.get_mut(x).and_then(|list| list.get_mut(y)) {
                *cell = i;
            }
        }
        Self { cells: lists, circle: None, size }
    }

    /// Radii of a circle, from within outwards.
    pub(super) fn of_circle(cells: &Features, circle: &SkyCircle) -> Self {
        let [x, y] = circle.centre_px.map(|px| (px + 0.5) / cells.cell_px);
        let r = circle.radius_px / cells.cell_px;
        let size = [cells.columns, cells.rows];
        let lists = (0..DIRECTIONS)
            .map(|direction| {
                let (sin, cos) = angle(direction).sin_cos();
                (0..index(r * (1.0 - FREE_SHARE)).max(1))
                    .map(|step| FREE_SHARE * r + step as f64 + 0.5)
                    .filter_map(|radius| cell_at([x + circle.stretch * radius * cos, y + radius * sin], size))
                    .collect()
            })
            .collect();
        Self { cells: lists, circle: Some([x, y, r, circle.stretch]), size }
    }

    /// Ends of the light along the radii of a circle: beyond lies a mask. A rim a little darker than the rest is none.
    pub(super) fn ends_of_light(&self, is_lit: &[bool]) -> Vec<usize> {
        let end = |list: &Vec<usize>| {
            let end = list.iter().rposition(|cell| is_lit[*cell]).map_or(0, |last| last + 1);
            let dark = list.len() - end;
            if dark < LEAST_MASK_CELLS || (dark as f64) < LEAST_MASK * list.len() as f64 { list.len() } else { end }
        };
        self.cells.iter().map(end).collect()
    }

    /// Cells of sky and of ground by a line of ends.
    pub(super) fn divided(&self, line: &[usize]) -> [Vec<usize>; 2] {
        let (mut sky, mut ground) = (Vec::new(), Vec::new());
        for (list, end) in self.cells.iter().zip(line) {
            let (above, below) = list.split_at((*end).min(list.len()));
            sky.extend_from_slice(above);
            ground.extend_from_slice(below);
        }
        [sky, ground]
    }

    /// `cost` for a cell within a share of the circle's radius, 0 beyond and without a circle.
    pub(super) fn height_cost(&self, cells: &Features, i: usize, within: f64, cost: f64) -> f64 {
        let Some([x, y, r, stretch]) = self.circle else { return 0.0 };
        let [column, row] = [i % cells.columns, i / cells.columns].map(|at| at as f64 + 0.5);
        if ((column - x) / stretch).hypot(row - y) < within * r { cost } else { 0.0 }
    }

    /// Whether each cell is sky by a line of ends; `None` outside the circle.
    pub(super) fn sky(&self, line: &[usize]) -> Vec<Option<bool>> {
        let count = self.size[0] * self.size[1];
        let Some([x, y, r, stretch]) = self.circle else {
            let mut sky = vec![Some(false); count];
            for (list, end) in self.cells.iter().zip(line) {
                for cell in list.iter().take(*end) {
                    sky[*cell] = Some(true);
                }
            }
            return sky;
        };
        (0..count)
            .map(|i| {
                let (dx, dy) = (((i % self.size[0]) as f64 + 0.5 - x) / stretch, (i / self.size[0]) as f64 + 0.5 - y);
                let radius = dx.hypot(dy);
                let turn = dy.atan2(dx).rem_euclid(std::f64::consts::TAU) / std::f64::consts::TAU;
                let direction = index((turn * DIRECTIONS as f64).round()) % DIRECTIONS;
                let end = FREE_SHARE * r + line.get(direction).map_or(0.0, |end| *end as f64);
                // a spoke that the frame's edge cuts off is sky to there
                let cut = self.cells[direction].len() == line.get(direction).copied().unwrap_or(0);
                (radius <= r).then_some(radius <= end || cut)
            })
            .collect()
    }
}

fn angle(direction: usize) -> f64 {
    std::f64::consts::TAU * direction as f64 / DIRECTIONS as f64
}

fn cell_at([x, y]: [f64; 2], [columns, rows]: [usize; 2]) -> Option<usize> {
    let inside = x >= 0.0 && y >= 0.0 && x < columns as f64 && y < rows as f64;
    inside.then(|| index(y) * columns + index(x))
}
