//! A small grey picture: made smaller, mirrored, read between its pixels, compared with another.

/// A grey picture, row by row.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Grey {
    pub(super) columns: usize,
    pub(super) rows: usize,
    pub(super) values: Vec<f32>,
}

/// Where one picture lies in another: left and top edge and width, in pixels of the larger; the scale is the same both ways.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Placed {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) width: f64,
}

/// Radius of the surroundings that are taken off for the detail of a picture, px.
const DETAIL_PX: usize = 3;

impl Grey {
    /// Averaged down until its longest side has so many pixels; a smaller one is read between its pixels. `None` without pixels.
    pub(super) fn resized_to(&self, longest: usize) -> Option<Self> {
        let scale = longest as f64 / self.columns.max(self.rows).max(1) as f64;
        let side = |pixels: usize| whole((pixels as f64 * scale).round()).max(1);
        self.resized(side(self.columns), side(self.rows))
    }

    /// Averaged over the area of each new pixel.
    pub(super) fn resized(&self, columns: usize, rows: usize) -> Option<Self> {
        if self.values.len() != self.columns * self.rows || self.values.is_empty() || columns == 0 || rows == 0 {
            return None;
        }
        let across = shares(self.columns, columns);
        let mut values = Vec::with_capacity(columns * rows);
        let mut line = vec![0.0f32; self.columns];
        for of_rows in shares(self.rows, rows) {
            // down first: whole rows are added at once
            line.fill(0.0);
            for (y, share) in &of_rows {
                let from = &self.values[y * self.columns..(y + 1) * self.columns];
                for (sum, value) in line.iter_mut().zip(from) {
                    *sum += share * value;
                }
            }
            let high: f32 = of_rows.iter().map(|(_, share)| share).sum();
            values.extend(across.iter().map(|of_columns| {
                let sum: f32 = of_columns.iter().map(|(x, share)| share * line[*x]).sum();
                let wide: f32 = of_columns.iter().map(|(_, share)| share).sum();
                sum / (wide * high).max(f32::MIN_POSITIVE)
            }));
        }
        Some(Self { columns, rows, values })
    }

    pub(super) fn mirrored(&self) -> Self {
        let values = self.values.chunks(self.columns.max(1)).flat_map(|row| row.iter().rev().copied()).collect();
        Self { values, ..*self }
    }

    /// Value at a place, px from the middle of the first pixel, between the nearest four.
    fn at(&self, x: f64, y: f64) -> f32 {
        let x = x.clamp(0.0, self.columns as f64 - 1.0);
        let y = y.clamp(0.0, self.rows as f64 - 1.0);
        let (column, row) = (whole(x.floor()), whole(y.floor()));
        let (next_column, next_row) = ((column + 1).min(self.columns - 1), (row + 1).min(self.rows - 1));
        let (fx, fy) = (part(x), part(y));
        let value = |column: usize, row: usize| self.values[row * self.columns + column];
        let above = value(column, row) * (1.0 - fx) + value(next_column, row) * fx;
        let below = value(column, next_row) * (1.0 - fx) + value(next_column, next_row) * fx;
        above * (1.0 - fy) + below * fy
    }

    /// The part of this picture that `other` covers, at the pixels of `other`.
    pub(super) fn part_under(&self, other: &Self, placed: Placed) -> Self {
        let scale = placed.width / other.columns as f64;
        let values = (0..other.rows)
            .flat_map(|row| (0..other.columns).map(move |column| (column, row)))
            .map(|(column, row)| {
                let place = |start: f64, index: usize| start + (index as f64 + 0.5) * scale - 0.5;
                self.at(place(placed.left, column), place(placed.top, row))
            })
            .collect();
        Self { columns: other.columns, rows: other.rows, values }
    }

    /// A little smoother: pictures that were read between their pixels and such that were not then differ less. The rim is
    /// made smoother along itself alone, so that an even slope stays as it is.
    pub(super) fn smooth(&self) -> Self {
        let mean = |before: f32, here: f32, after: f32| 0.25 * before + 0.5 * here + 0.25 * after;
        let inner = |index: usize, count: usize| index > 0 && index + 1 < count;
        let at = |x: usize, y: usize| self.values[y * self.columns + x];
        let places = |y: usize| (0..self.columns).map(move |x| (x, y));
        let across: Vec<f32> = (0..self.rows)
            .flat_map(places)
            .map(|(x, y)| if inner(x, self.columns) { mean(at(x - 1, y), at(x, y), at(x + 1, y)) } else { at(x, y) })
            .collect();
        let at = |x: usize, y: usize| across[y * self.columns + x];
        let values = (0..self.rows)
            .flat_map(places)
            .map(|(x, y)| if inner(y, self.rows) { mean(at(x, y - 1), at(x, y), at(x, y + 1)) } else { at(x, y) })
            .collect();
        Self { values, ..*self }
    }

    /// What is left of a picture less its surroundings. They reach as far to either side, so less far near the rim: an even
    /// slope has no detail.
    pub(super) fn detail(&self) -> Self {
        let fine = self.smooth();
        let around = |index: usize, count: usize| {
            let reach = DETAIL_PX.min(index).min(count - 1 - index);
            index - reach..index + reach + 1
        };
        let sums = self.sums();
        let across = self.columns + 1;
        let values = (0..self.rows)
            .flat_map(|row| (0..self.columns).map(move |column| (column, row)))
            .map(|(column, row)| {
                let (rows, columns) = (around(row, self.rows), around(column, self.columns));
                let count = rows.len() * columns.len();
                let at = |column: usize, row: usize| sums[row * across + column];
                let sum = at(columns.end, rows.end) - at(columns.start, rows.end) - at(columns.end, rows.start)
                    + at(columns.start, rows.start);
                fine.values[row * self.columns + column] - narrow(sum / count as f64)
            })
            .collect();
        Self { values, ..*self }
    }

    /// With the tones of another picture of the same size: its brightest pixels as bright as that one's brightest, and so down.
    /// What a slider of brightness or a clipped light did to one of two copies is then in both.
    pub(super) fn toned_like(&self, other: &Self) -> Self {
        let mut order: Vec<usize> = (0..self.values.len()).collect();
        order.sort_by(|a, b| self.values[*a].total_cmp(&self.values[*b]));
        let mut tones = other.values.clone();
        tones.sort_by(f32::total_cmp);
        let mut values = self.values.clone();
        for (index, tone) in order.into_iter().zip(tones) {
            values[index] = tone;
        }
        Self { values, ..*self }
    }

    /// Sums over every rectangle from the corner, one column and row more than there are pixels.
    fn sums(&self) -> Vec<f64> {
        let across = self.columns + 1;
        let mut sums = vec![0.0; across * (self.rows + 1)];
        for row in 0..self.rows {
            let mut line = 0.0;
            for column in 0..self.columns {
                line += f64::from(self.values[row * self.columns + column]);
                sums[(row + 1) * across + column + 1] = sums[row * across + column + 1] + line;
            }
        }
        sums
    }

    /// Spread of the values, steps of 8 bits.
    pub(super) fn spread(&self) -> f64 {
        let count = self.values.len().max(1) as f64;
        let mean = self.values.iter().map(|value| f64::from(*value)).sum::<f64>() / count;
        (self.values.iter().map(|value| (f64::from(*value) - mean).powi(2)).sum::<f64>() / count).sqrt()
    }
}

/// Pearson's correlation of two pictures of the same size, -1..1; 0 where one of them is even.
pub(super) fn correlation(a: &[f32], b: &[f32]) -> f64 {
    let count = a.len().min(b.len()).max(1) as f32;
    let (mut x, mut y) = (0.0f32, 0.0f32);
    for (a, b) in a.iter().zip(b) {
        x += a;
        y += b;
    }
    let (x, y) = (x / count, y / count);
    let (mut xx, mut yy, mut xy) = (0.0f32, 0.0f32, 0.0f32);
    for (a, b) in a.iter().zip(b) {
        let (a, b) = (a - x, b - y);
        xx += a * a;
        yy += b * b;
        xy += a * b;
    }
    let both = f64::from(xx).sqrt() * f64::from(yy).sqrt();
    if both > f64::EPSILON { f64::from(xy) / both } else { 0.0 }
}

/// For each of `to` new pixels the old ones under it, with the shares that it covers.
fn shares(from: usize, to: usize) -> Vec<Vec<(usize, f32)>> {
    let step = from as f64 / to as f64;
    (0..to)
        .map(|index| {
            let (start, end) = (index as f64 * step, (index + 1) as f64 * step);
            let last = whole(end.ceil()).min(from).max(1);
            (whole(start.floor()).min(last - 1)..last)
                .map(|old| {
                    let covered = end.min(old as f64 + 1.0) - start.max(old as f64);
                    (old, narrow(covered.max(1e-6)))
                })
                .collect()
        })
        .collect()
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "places inside a small picture; saturates")]
pub(super) fn whole(place: f64) -> usize {
    place as usize
}

#[expect(clippy::cast_possible_truncation, reason = "a share of a pixel")]
fn narrow(share: f64) -> f32 {
    share as f32
}

fn part(place: f64) -> f32 {
    narrow(place.fract())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slope(columns: usize, rows: usize) -> Grey {
        let values = (0..rows).flat_map(|y| (0..columns).map(move |x| (x + 2 * y) as f32)).collect();
        Grey { columns, rows, values }
    }

    /// Rounding of single precision.
    const ROUNDING: f32 = 1e-3;

    #[test]
    fn making_a_picture_smaller_keeps_its_light() {
        let small = slope(30, 20).resized(7, 5).unwrap();
        let mean = |grey: &Grey| grey.values.iter().sum::<f32>() / grey.values.len() as f32;
        assert!((mean(&small) - mean(&slope(30, 20))).abs() < ROUNDING, "{}", mean(&small));
    }

    #[test]
    fn an_even_slope_has_no_detail() {
        assert!(slope(30, 20).detail().values.iter().all(|value| value.abs() < ROUNDING));
    }

    #[test]
    fn a_part_is_read_where_it_lies() {
        let all = slope(40, 30);
        let part = all.part_under(&slope(10, 8), Placed { left: 5.0, top: 3.0, width: 20.0 });
        // its first pixel covers columns 5 and 6 and rows 3 and 4
        assert!((part.values[0] - (5.5 + 2.0 * 3.5)).abs() < ROUNDING, "{}", part.values[0]);
    }
}
