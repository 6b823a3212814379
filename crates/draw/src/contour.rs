//! Lines and areas of equal value on a flat grid, by marching squares, chained.

/// Values at the nodes of a flat grid, row by row from the top.
#[derive(Debug, Clone)]
pub(crate) struct Plane {
    pub(crate) columns: usize,
    pub(crate) rows: usize,
    pub(crate) values: Vec<f64>,
}

/// What a line does at the border.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Border {
    /// It ends there.
    Open,
    /// It runs along the border, so that every line encloses an area.
    Closed,
}

/// Points of one line in columns and rows.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Chain {
    pub(crate) points: Vec<(f64, f64)>,
    pub(crate) closed: bool,
}

const NOBODY: usize = usize::MAX;

impl Plane {
    /// All lines of a level; of areas they enclose what is at or above it.
    pub(crate) fn chains(&self, level: f64, border: Border) -> Vec<Chain> {
        if self.columns < 2 || self.rows < 2 || self.values.len() != self.columns * self.rows {
            return Vec::new();
        }
        let grid = Padded { plane: self, level, pad: usize::from(border == Border::Closed) };
        let mut neighbours = vec![[NOBODY; 2]; 2 * grid.rows() * grid.columns()];
        for row in 0..grid.rows() - 1 {
            for column in 0..grid.columns() - 1 {
                for (a, b) in grid.pieces(row, column).into_iter().flatten() {
                    join(&mut neighbours, a, b);
                    join(&mut neighbours, b, a);
                }
            }
        }
        grid.walk(&neighbours)
    }
}

fn join(neighbours: &mut [[usize; 2]], from: usize, to: usize) {
    if let Some(slot) = neighbours[from].iter_mut().find(|slot| **slot == NOBODY) {
        *slot = to;
    }
}

/// The grid with a ring of darkness around it where lines must close.
struct Padded<'a> {
    plane: &'a Plane,
    level: f64,
    pad: usize,
}

impl Padded<'_> {
    fn columns(&self) -> usize {
        self.plane.columns + 2 * self.pad
    }

    fn rows(&self) -> usize {
        self.plane.rows + 2 * self.pad
    }

    fn value(&self, row: usize, column: usize) -> f64 {
        let (Some(i), Some(j)) = (row.checked_sub(self.pad), column.checked_sub(self.pad)) else {
            return f64::NEG_INFINITY;
        };
        if i >= self.plane.rows || j >= self.plane.columns {
            return f64::NEG_INFINITY;
        }
        let value = self.plane.values[i * self.plane.columns + j];
        if value.is_nan() { f64::NEG_INFINITY } else { value }
    }

    /// Place of a node; the ring lies on the border itself.
    fn place(&self, row: usize, column: usize) -> (f64, f64) {
        let within = |n: usize, count: usize| n.saturating_sub(self.pad).min(count - 1) as f64;
        (within(column, self.plane.columns), within(row, self.plane.rows))
    }

    /// Sides are numbered by the node they start from: even along the row, odd down the column.
    fn pieces(&self, row: usize, column: usize) -> [Option<(usize, usize)>; 2] {
        let corners =
            [(row, column), (row, column + 1), (row + 1, column + 1), (row + 1, column)].map(|(i, j)| self.value(i, j));
        let above = corners.map(|value| value >= self.level);
        let side = |row: usize, column: usize, down: usize| 2 * (row * self.columns() + column) + down;
        let sides = [side(row, column, 0), side(row, column + 1, 1), side(row + 1, column, 0), side(row, column, 1)];
        let crossed: Vec<usize> = (0..4).filter(|&k| above[k] != above[(k + 1) % 4]).map(|k| sides[k]).collect();
        match crossed[..] {
            [a, b] => [Some((a, b)), None],
            [a, b, c, d] => {
                let middle_above = corners.iter().sum::<f64>() / 4.0 >= self.level;
                if middle_above == above[0] { [Some((a, b)), Some((c, d))] } else { [Some((a, d)), Some((b, c))] }
            }
            _ => [None, None],
        }
    }

    fn crossing(&self, side: usize) -> (f64, f64) {
        let (row, column) = (side / 2 / self.columns(), side / 2 % self.columns());
        let (next_row, next_column) = if side.is_multiple_of(2) { (row, column + 1) } else { (row + 1, column) };
        let (a, b) = (self.value(row, column), self.value(next_row, next_column));
        let share = match (a.is_finite(), b.is_finite()) {
            (true, true) => ((self.level - a) / (b - a)).clamp(0.0, 1.0),
            (false, _) => 1.0,
            (true, false) => 0.0,
        };
        let ((ax, ay), (bx, by)) = (self.place(row, column), self.place(next_row, next_column));
        (ax + share * (bx - ax), ay + share * (by - ay))
    }

    /// Follows neighbours: first from loose ends, then around what is left.
    fn walk(&self, neighbours: &[[usize; 2]]) -> Vec<Chain> {
        let mut seen = vec![false; neighbours.len()];
        let mut found = Vec::new();
        let used = |side: &usize| neighbours[*side][0] != NOBODY;
        let loose = (0..neighbours.len()).filter(used).filter(|&side| neighbours[side][1] == NOBODY);
        for start in loose.chain((0..neighbours.len()).filter(used)) {
            if seen[start] {
                continue;
            }
            let (mut points, mut here, mut next) = (Vec::new(), start, Some(start));
            while let Some(side) = next {
                seen[side] = true;
                points.push(self.crossing(side));
                here = side;
                next = neighbours[side].into_iter().find(|&other| other != NOBODY && !seen[other]);
            }
            let closed = points.len() > 2 && neighbours[here].contains(&start);
            found.push(Chain { points, closed });
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hill() -> Plane {
        let values = (0..49).map(|n| {
            let (x, y) = (f64::from(n % 7) - 3.0, f64::from(n / 7) - 3.0);
            10.0 - x.hypot(y)
        });
        Plane { columns: 7, rows: 7, values: values.collect() }
    }

    #[test]
    fn a_hill_has_one_closed_line_at_its_radius() {
        let chains = hill().chains(8.0, Border::Open);
        assert_eq!((chains.len(), chains[0].closed), (1, true));
        for (x, y) in &chains[0].points {
            // straight between nodes, so a circle of radius 2 is cut by at most its sagitta
            assert!(((x - 3.0).hypot(y - 3.0) - 2.0).abs() < 0.25);
        }
    }

    #[test]
    fn areas_close_along_the_border_and_cover_it() {
        let chains = hill().chains(0.0, Border::Closed);
        assert_eq!((chains.len(), chains[0].closed), (1, true));
        let area: f64 = (0..chains[0].points.len())
            .map(|i| {
                let ((ax, ay), (bx, by)) = (chains[0].points[i], chains[0].points[(i + 1) % chains[0].points.len()]);
                0.5 * (ax * by - bx * ay)
            })
            .sum();
        assert!((area.abs() - 36.0).abs() < 1e-9, "the whole grid: {area}");
    }

    #[test]
    fn a_broken_grid_draws_nothing() {
        assert!(Plane { columns: 5, rows: 5, values: vec![1.0; 3] }.chains(0.5, Border::Open).is_empty());
        assert!(Plane { columns: 1, rows: 1, values: vec![1.0] }.chains(0.5, Border::Closed).is_empty());
    }
}
