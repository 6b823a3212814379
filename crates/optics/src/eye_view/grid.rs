//! A grid of numbers that can be halved and doubled: the steps of a Gaussian pyramid.

/// Row by row from the top left.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Grid {
    pub(super) width: usize,
    pub(super) height: usize,
    pub(super) values: Vec<f32>,
}

/// Weights of five neighbours, sixteenths (Burt & Adelson, IEEE Trans. Commun. 31, 532, 1983, a = 0.375).
const WEIGHTS: [f32; 5] = [1.0 / 16.0, 4.0 / 16.0, 6.0 / 16.0, 4.0 / 16.0, 1.0 / 16.0];

impl Grid {
    /// Smoothed by five neighbours each way, every second kept; the rim is repeated outward.
    pub(super) fn halved(&self) -> Self {
        let (width, height) = (self.width.div_ceil(2), self.height.div_ceil(2));
        let mut across = Vec::with_capacity(width * self.height);
        for row in self.values.chunks_exact(self.width) {
            across.extend((0..width).map(|x| weighed(neighbours(2 * x, self.width).map(|i| row[i]))));
        }
        let mut values = Vec::with_capacity(width * height);
        for y in 0..height {
            let rows = neighbours(2 * y, self.height).map(|row| &across[row * width..][..width]);
            values.extend((0..width).map(|x| weighed(rows.map(|row| row[x]))));
        }
        Self { width, height, values }
    }

    /// Doubled to a size that halves to this one, straight lines between.
    pub(super) fn doubled(&self, width: usize, height: usize) -> Self {
        let mut values = Vec::with_capacity(width * height);
        let mut row = Vec::new();
        for y in 0..height {
            self.doubled_row(y, width, &mut row);
            values.extend_from_slice(&row);
        }
        Self { width, height, values }
    }

    /// A row of [`Grid::doubled`].
    pub(super) fn doubled_row(&self, y: usize, width: usize, row: &mut Vec<f32>) {
        let low = (y / 2).min(self.height - 1);
        let high = if y.is_multiple_of(2) { low } else { (low + 1).min(self.height - 1) };
        let [low, high] = [low, high].map(|y| &self.values[y * self.width..][..self.width]);
        row.clear();
        row.resize(2 * self.width, 0.0);
        for ((out, low), high) in row.chunks_exact_mut(2).zip(low).zip(high) {
            out[0] = 0.5 * (low + high);
        }
        // between each node and the next its middle; the last one stands for itself
        let last = row.len() - 2;
        for x in (1..last).step_by(2) {
            row[x] = 0.5 * (row[x - 1] + row[x + 1]);
        }
        row[last + 1] = row[last];
        row.truncate(width);
    }
}

/// Five neighbours, the rim repeated.
fn neighbours(middle: usize, count: usize) -> [usize; 5] {
    let last = count - 1;
    [middle.saturating_sub(2), middle.saturating_sub(1), middle, (middle + 1).min(last), (middle + 2).min(last)]
}

fn weighed([p, q, r, s, t]: [f32; 5]) -> f32 {
    let [a, b, c, d, e] = WEIGHTS;
    a * p + b * q + c * r + d * s + e * t
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_even_grid_stays_even_through_both_steps_whatever_its_size() {
        for (width, height) in [(1, 1), (1, 7), (8, 5), (9, 9)] {
            let grid = Grid { width, height, values: vec![3.0; width * height] };
            let half = grid.halved();
            assert_eq!((half.width, half.height), (width.div_ceil(2), height.div_ceil(2)));
            assert!(half.values.iter().chain(&half.doubled(width, height).values).all(|v| (v - 3.0).abs() < 1e-6));
        }
    }
}
