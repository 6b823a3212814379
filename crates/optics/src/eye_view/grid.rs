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
            across.extend((0..width).map(|x| smoothed(|i| row[i], 2 * x, self.width)));
        }
        let mut values = Vec::with_capacity(width * height);
        for y in 0..height {
            values.extend((0..width).map(|x| smoothed(|i| across[i * width + x], 2 * y, self.height)));
        }
        Self { width, height, values }
    }

    /// Doubled to a size that halves to this one, straight lines between.
    pub(super) fn doubled(&self, width: usize, height: usize) -> Self {
        let mut across = Vec::with_capacity(width * self.height);
        for row in self.values.chunks_exact(self.width) {
            across.extend((0..width).map(|x| between(|i| row[i], x, self.width)));
        }
        let mut values = Vec::with_capacity(width * height);
        for y in 0..height {
            values.extend((0..width).map(|x| between(|i| across[i * width + x], y, self.height)));
        }
        Self { width, height, values }
    }
}

fn smoothed(value: impl Fn(usize) -> f32, middle: usize, count: usize) -> f32 {
    let last = count - 1;
    let [a, b, c, d, e] = WEIGHTS;
    let (one, two) = ((middle + 1).min(last), (middle + 2).min(last));
    a * value(middle.saturating_sub(2))
        + b * value(middle.saturating_sub(1))
        + c * value(middle)
        + d * value(one)
        + e * value(two)
}

fn between(value: impl Fn(usize) -> f32, place: usize, count: usize) -> f32 {
    let low = (place / 2).min(count - 1);
    if place.is_multiple_of(2) { value(low) } else { 0.5 * (value(low) + value((low + 1).min(count - 1))) }
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
