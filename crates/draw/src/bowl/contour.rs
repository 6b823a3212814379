//! Lines of equal value on the wrapped grid, by marching squares, chained.

use quantity::Horizontal;

use super::field::Field;

/// What a line does at the horizon.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Edge {
    /// It ends there.
    Open,
    /// It runs along the horizon, so that every line encloses an area.
    Closed,
}

/// One line.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Chain {
    pub(super) points: Vec<Horizontal>,
    pub(super) closed: bool,
}

/// A side of a cell that the line crosses: along a row, or up a column.
type Side = usize;
const NOBODY: usize = usize::MAX;

/// All lines of a level (in the field's own logarithmic unit).
pub(super) fn chains(field: &Field, level: f64, edge: Edge) -> Vec<Chain> {
    let grid = Grid { field, level, pad: usize::from(edge == Edge::Closed) };
    if field.columns() < 3 || field.rows() < 2 {
        return Vec::new();
    }
    let mut neighbours = vec![[NOBODY; 2]; 2 * grid.rows() * field.columns()];
    for row in 0..grid.rows() - 1 {
        for column in 0..field.columns() {
            for (a, b) in grid.segments(row, column).into_iter().flatten() {
                join(&mut neighbours, a, b);
                join(&mut neighbours, b, a);
            }
        }
    }
    walk(&grid, &neighbours)
}

fn join(neighbours: &mut [[usize; 2]], from: Side, to: Side) {
    if let Some(slot) = neighbours[from].iter_mut().find(|slot| **slot == NOBODY) {
        *slot = to;
    }
}

/// The field, with one more row of darkness below the horizon where lines must close.
struct Grid<'a> {
    field: &'a Field,
    level: f64,
    pad: usize,
}

impl Grid<'_> {
    fn rows(&self) -> usize {
        self.field.rows() + self.pad
    }

    fn value(&self, row: usize, column: usize) -> f64 {
        if row < self.pad { f64::NEG_INFINITY } else { self.field.at(row - self.pad, column % self.field.columns()) }
    }

    fn altitude_deg(&self, row: usize) -> f64 {
        self.field.altitudes_deg.get(row.saturating_sub(self.pad)).copied().unwrap_or(90.0)
    }

    /// Azimuth of a column; the one after the last is the first, once around.
    fn azimuth_deg(&self, column: usize) -> f64 {
        let columns = self.field.columns();
        if column < columns { self.field.azimuths_deg[column] } else { self.field.azimuths_deg[0] + 360.0 }
    }

    fn along_row(&self, row: usize, column: usize) -> Side {
        2 * (row * self.field.columns() + column % self.field.columns())
    }

    fn up_column(&self, row: usize, column: usize) -> Side {
        self.along_row(row, column) + 1
    }

    /// The one or two pieces of line in a cell.
    fn segments(&self, row: usize, column: usize) -> [Option<(Side, Side)>; 2] {
        let corners = [
            self.value(row, column),
            self.value(row, column + 1),
            self.value(row + 1, column + 1),
            self.value(row + 1, column),
        ];
        let above = corners.map(|value| value >= self.level);
        let sides = [
            self.along_row(row, column),
            self.up_column(row, column + 1),
            self.along_row(row + 1, column),
            self.up_column(row, column),
        ];
        // side k lies between corner k and corner k + 1
        let crossed: Vec<Side> = (0..4).filter(|&k| above[k] != above[(k + 1) % 4]).map(|k| sides[k]).collect();
        match crossed[..] {
            [a, b] => [Some((a, b)), None],
            [a, b, c, d] => {
                let centre_above = corners.iter().sum::<f64>() / 4.0 >= self.level;
                if centre_above == above[0] { [Some((a, b)), Some((c, d))] } else { [Some((a, d)), Some((b, c))] }
            }
            _ => [None, None],
        }
    }

    /// Where the line crosses a side.
    fn crossing(&self, side: Side) -> Horizontal {
        let columns = self.field.columns();
        let (row, column) = (side / 2 / columns, side / 2 % columns);
        let (next_row, next_column) = if side.is_multiple_of(2) { (row, column + 1) } else { (row + 1, column) };
        let (a, b) = (self.value(row, column), self.value(next_row, next_column));
        let share = if a.is_finite() && b.is_finite() { ((self.level - a) / (b - a)).clamp(0.0, 1.0) } else { 1.0 };
        let mix = |a: f64, b: f64| a + share * (b - a);
        Horizontal::new(
            mix(self.altitude_deg(row), self.altitude_deg(next_row)),
            mix(self.azimuth_deg(column), self.azimuth_deg(next_column)),
        )
    }
}

/// Follows neighbours: first from loose ends, then around what is left.
fn walk(grid: &Grid<'_>, neighbours: &[[usize; 2]]) -> Vec<Chain> {
    let mut seen = vec![false; neighbours.len()];
    let mut found = Vec::new();
    let loose = (0..neighbours.len()).filter(|&side| neighbours[side][0] != NOBODY && neighbours[side][1] == NOBODY);
    let all = (0..neighbours.len()).filter(|&side| neighbours[side][0] != NOBODY);
    for start in loose.chain(all) {
        if seen[start] {
            continue;
        }
        let mut points = Vec::new();
        let mut here = start;
        let mut next = Some(start);
        while let Some(side) = next {
            seen[side] = true;
            points.push(grid.crossing(side));
            here = side;
            next = neighbours[side].into_iter().find(|&other| other != NOBODY && !seen[other]);
        }
        let closed = points.len() > 2 && neighbours[here].contains(&start);
        found.push(Chain { points, closed });
    }
    found
}
