//! Sums of products of a part with what lies under it, several columns at a time: a processor then does them side by side, which
//! it may not with one running sum, for the order of floating sums counts.

/// Columns that are summed side by side: two registers of four numbers, or one of eight.
const LANES: usize = 8;

/// Rows of a part, each filled up with nothing to whole lanes.
#[derive(Debug, Clone)]
pub(super) struct Lanes {
    row: usize,
    values: Vec<f32>,
}

impl Lanes {
    /// Of rows of so many values.
    pub(super) fn of(values: &[f32], row: usize) -> Self {
        let padded = row.next_multiple_of(LANES).max(LANES);
        let mut lanes = Vec::with_capacity(values.len() / row.max(1) * padded);
        for line in values.chunks(row.max(1)) {
            lanes.extend_from_slice(line);
            lanes.resize(lanes.len().next_multiple_of(padded), 0.0);
        }
        Self { row: padded, values: lanes }
    }

    /// Sum of the products with rows of the same length.
    pub(super) fn with(&self, other: &Self) -> f32 {
        self.products(&other.values, other.row)
    }

    /// Sum of the products with what lies under it.
    ///
    /// * `under`: rows of the larger picture from the part's corner on, [`filled_up`].
    /// * `across`: values in one of its rows.
    pub(super) fn products(&self, under: &[f32], across: usize) -> f32 {
        let mut sums = [0.0f32; LANES];
        for (index, line) in self.values.chunks_exact(self.row).enumerate() {
            let Some(below) = under.get(index * across..index * across + self.row) else { break };
            for (line, below) in line.as_chunks::<LANES>().0.iter().zip(below.as_chunks::<LANES>().0) {
                for lane in 0..LANES {
                    sums[lane] += line[lane] * below[lane];
                }
            }
        }
        sums.iter().sum()
    }
}

/// A larger picture's rows with nothing behind them, so that the last part's filled rows have something to lie over.
pub(super) fn filled_up(mut values: Vec<f32>) -> Vec<f32> {
    values.resize(values.len() + LANES, 0.0);
    values
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sums of whole numbers are exact.
    #[test]
    fn products_are_those_of_the_pixels_wherever_the_part_lies() {
        let (columns, rows) = (21usize, 9usize);
        let number = |index: usize| (index * 37 % 19) as f32 - 9.0;
        let larger: Vec<f32> = (0..columns * rows).map(number).collect();
        let filled = filled_up(larger.clone());
        for (width, height) in [(1, 1), (5, 3), (8, 9), (17, 4), (21, 9)] {
            let part: Vec<f32> = (0..width * height).map(|index| number(index + 5)).collect();
            let lanes = Lanes::of(&part, width);
            for top in 0..=rows - height {
                for left in 0..=columns - width {
                    let one =
                        |index: usize| part[index] * larger[(top + index / width) * columns + left + index % width];
                    let truth: f32 = (0..part.len()).map(one).sum();
                    assert!(
                        (lanes.products(&filled[top * columns + left..], columns) - truth).abs() < f32::EPSILON,
                        "{width} by {height} at {left}, {top}"
                    );
                }
            }
        }
    }
}
