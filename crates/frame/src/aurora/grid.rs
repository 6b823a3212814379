//! Numbers on the cells of a map.

/// A map's shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Grid {
    pub(super) columns: usize,
    pub(super) rows: usize,
}

/// A connected patch of cells.
#[derive(Debug, Clone)]
pub(super) struct Region {
    pub(super) cells: Vec<usize>,
}

impl Grid {
    pub(super) fn cells(self) -> usize {
        self.columns * self.rows
    }

    /// Column and row as coordinates.
    pub(super) fn place(self, cell: usize) -> [f64; 2] {
        [(cell % self.columns.max(1)) as f64, (cell / self.columns.max(1)) as f64]
    }

    /// Cells within `reach` of one, itself too.
    pub(super) fn around(self, cell: usize, reach: usize) -> impl Iterator<Item = usize> {
        let [column, row] = [cell % self.columns.max(1), cell / self.columns.max(1)];
        let columns = column.saturating_sub(reach)..(column + reach + 1).min(self.columns);
        let rows = row.saturating_sub(reach)..(row + reach + 1).min(self.rows);
        rows.flat_map(move |row| columns.clone().map(move |column| row * self.columns + column))
    }

    /// Left, right, above and below.
    pub(super) fn beside(self, cell: usize) -> impl Iterator<Item = usize> {
        let column = cell % self.columns.max(1);
        [
            (column > 0).then(|| cell - 1),
            (column + 1 < self.columns).then_some(cell + 1),
            cell.checked_sub(self.columns),
            Some(cell + self.columns).filter(|below| *below < self.cells()),
        ]
        .into_iter()
        .flatten()
    }

    /// Cells within `reach` of a cell that is set.
    pub(super) fn widened(self, set: &[bool], reach: usize) -> Vec<bool> {
        let mut wide = vec![false; set.len()];
        for cell in (0..set.len()).filter(|cell| set[*cell]) {
            self.for_around(cell, reach, |near| wide[near] = true);
        }
        wide
    }

    /// Calls `each` with the cells within `reach` of one, itself too; quicker than [`Grid::around`].
    pub(super) fn for_around(self, cell: usize, reach: usize, mut each: impl FnMut(usize)) {
        let [column, row] = [cell % self.columns, cell / self.columns];
        let columns = column.saturating_sub(reach)..(column + reach + 1).min(self.columns);
        for row in row.saturating_sub(reach)..(row + reach + 1).min(self.rows) {
            columns.clone().for_each(|column| each(row * self.columns + column));
        }
    }

    /// Mean of the cells that count within `reach`; NaN where there is none.
    pub(super) fn smoothed(self, values: &[f64], counts: &[bool], reach: usize) -> Vec<f64> {
        let width = self.columns + 1;
        // sums of all cells above and to the left: [value, number]
        let mut sums = vec![[0.0f64; 2]; width * (self.rows + 1)];
        for row in 0..self.rows {
            let mut along = [0.0; 2];
            for column in 0..self.columns {
                let cell = row * self.columns + column;
                if counts[cell] && values[cell].is_finite() {
                    along[0] += values[cell];
                    along[1] += 1.0;
                }
                let above = sums[row * width + column + 1];
                sums[(row + 1) * width + column + 1] = [above[0] + along[0], above[1] + along[1]];
            }
        }
        let mut means = Vec::with_capacity(self.cells());
        for row in 0..self.rows {
            let (top, bottom) = (row.saturating_sub(reach) * width, (row + reach + 1).min(self.rows) * width);
            for column in 0..self.columns {
                let (left, right) = (column.saturating_sub(reach), (column + reach + 1).min(self.columns));
                let sum = |i: usize| {
                    sums[bottom + right][i] - sums[top + right][i] - sums[bottom + left][i] + sums[top + left][i]
                };
                means.push(if sum(1) > 0.5 { sum(0) / sum(1) } else { f64::NAN });
            }
        }
        means
    }

    /// Connected patches of set cells of at least so many, the largest first.
    pub(super) fn regions(self, set: &[bool], least: usize) -> Vec<Region> {
        let mut seen = vec![false; set.len()];
        let mut found = Vec::new();
        for start in 0..set.len() {
            if !set[start] || seen[start] {
                continue;
            }
            let mut cells = vec![start];
            seen[start] = true;
            let mut next = 0;
            while let Some(&cell) = cells.get(next) {
                next += 1;
                self.for_around(cell, 1, |near| {
                    if set[near] && !seen[near] {
                        seen[near] = true;
                        cells.push(near);
                    }
                });
            }
            if cells.len() >= least {
                found.push(Region { cells });
            }
        }
        found.sort_by_key(|region| std::cmp::Reverse(region.cells.len()));
        found
    }
}

/// Values that a quantile rests on, at most: its place is then known to half a hundredth.
const ENOUGH: usize = 10_000;

/// The value at a place in order, 0..=1; `None` of nothing.
pub(super) fn quantile(values: impl IntoIterator<Item = f64>, place: f64) -> Option<f64> {
    let mut kept: Vec<f64> = values.into_iter().filter(|value| value.is_finite()).collect();
    if kept.len() > ENOUGH {
        let step = kept.len().div_ceil(ENOUGH);
        kept = kept.into_iter().step_by(step).collect();
    }
    let last = kept.len().checked_sub(1)?;
    let index = crate::whole::index(last as f64 * place.clamp(0.0, 1.0)).min(last);
    Some(*kept.select_nth_unstable_by(index, f64::total_cmp).1)
}

/// Least to most as 0 to 1, flat outside.
pub(super) fn ramp(value: f64, least: f64, most: f64) -> f64 {
    if value.is_nan() { 0.0 } else { ((value - least) / (most - least)).clamp(0.0, 1.0) }
}
