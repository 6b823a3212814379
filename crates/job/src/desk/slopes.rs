//! Slopes of small grey pictures: where the light changes, and which way. A cut is found by them among thousands, for skies that
//! grow brighter downwards are all alike in their light and not in their slopes.

use super::grey::{Grey, correlation, whole};
use super::lanes::{Lanes, filled_up};

/// Slopes across and down of a picture without its rim, with the sums over every rectangle from its corner.
#[derive(Debug, Clone)]
pub(super) struct Slopes {
    columns: usize,
    rows: usize,
    /// Across and down in turn, row by row, steps of 8 bits over two pixels; filled up behind the last.
    values: Vec<f32>,
    /// Across, down, and the squares of both.
    sums: Vec<[f32; 3]>,
}

/// A picture as a part of another one: the mean of either slope taken off, length 1.
#[derive(Debug, Clone)]
pub(super) struct SlopePart {
    columns: usize,
    rows: usize,
    values: Lanes,
    /// Size with the rim that slopes lack, px of the larger picture.
    pub(super) size_px: [usize; 2],
    /// Share of the larger picture's longest side.
    pub(super) share: f64,
}

/// Where a part fits best.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct SlopeFit {
    /// Correlation, -1..1.
    pub(super) correlation: f32,
    /// Left and top edge of the part, px of the larger picture.
    pub(super) corner_px: [usize; 2],
}

impl SlopeFit {
    /// How far beyond chance the fit is: Fisher's transform of the correlation, in its deviations were all pixels independent.
    /// They are not, so that this ranks parts of different size and says nothing by itself.
    pub(super) fn beyond_chance(&self, part: &SlopePart) -> f32 {
        let pixels = (part.columns * part.rows) as f32;
        self.correlation.clamp(-CERTAIN, CERTAIN).atanh() * pixels.sqrt()
    }
}

/// Correlations beyond this are taken for this: atanh has no end.
const CERTAIN: f32 = 0.999;
/// Mean square of the slopes below which a patch is even, squared steps of 8 bits: the rounding to whole steps alone is a tenth
/// of it.
const EVEN: f32 = 0.1;
/// Fewer pixels than this fit to anything.
const LEAST_PIXELS: usize = 12;

impl Slopes {
    /// `None` for a picture without anything inside its rim.
    pub(super) fn of(grey: &Grey) -> Option<Self> {
        let (columns, rows) = (grey.columns.checked_sub(2)?, grey.rows.checked_sub(2)?);
        if columns == 0 || rows == 0 {
            return None;
        }
        let values = slopes(grey);
        let across = columns + 1;
        let mut sums = vec![[0.0; 3]; across * (rows + 1)];
        for row in 0..rows {
            let mut line = [0.0; 3];
            for column in 0..columns {
                let [dx, dy] = [0, 1].map(|axis| values[2 * (row * columns + column) + axis]);
                line = [line[0] + dx, line[1] + dy, line[2] + dx * dx + dy * dy];
                let above = sums[row * across + column + 1];
                sums[(row + 1) * across + column + 1] = [above[0] + line[0], above[1] + line[1], above[2] + line[2]];
            }
        }
        Some(Self { columns, rows, values: filled_up(values), sums })
    }

    /// The best place of a part; `None` where it does not fit in, or where everything under it is even.
    pub(super) fn best(&self, part: &SlopePart) -> Option<SlopeFit> {
        if part.columns > self.columns || part.rows > self.rows {
            return None;
        }
        let count = (part.columns * part.rows) as f32;
        let mut best: Option<SlopeFit> = None;
        for top in 0..=self.rows - part.rows {
            for left in 0..=self.columns - part.columns {
                let [across, down, squares] = self.under(left, top, part);
                let spread = squares - (across * across + down * down) / count;
                if spread < count * EVEN {
                    continue;
                }
                let under = &self.values[2 * (top * self.columns + left)..];
                let both = part.values.products(under, 2 * self.columns);
                let correlation = both / spread.sqrt();
                if best.is_none_or(|best| correlation > best.correlation) {
                    best = Some(SlopeFit { correlation, corner_px: [left, top] });
                }
            }
        }
        best
    }

    fn under(&self, left: usize, top: usize, part: &SlopePart) -> [f32; 3] {
        let across = self.columns + 1;
        let at = |column: usize, row: usize| self.sums[row * across + column];
        let (right, bottom) = (left + part.columns, top + part.rows);
        [0, 1, 2].map(|of| at(right, bottom)[of] - at(left, bottom)[of] - at(right, top)[of] + at(left, top)[of])
    }
}

/// A picture as parts of one whose longest side has so many pixels, from the whole of it down.
///
/// * `step`: factor between the sizes, below 1.
/// * `smallest`: least share of the longest side.
pub(super) fn parts(inner: &Grey, longest: usize, step: f64, smallest: f64) -> Vec<SlopePart> {
    let most = inner.columns.max(inner.rows).max(1) as f64;
    let mut found: Vec<SlopePart> = Vec::new();
    let mut share = 1.0;
    while share >= smallest * step {
        let side = |pixels: usize| whole((pixels as f64 / most * longest as f64 * share).round());
        let size_px = [side(inner.columns), side(inner.rows)];
        if found.last().is_none_or(|last| last.size_px != size_px) {
            found.extend(part(inner, size_px, share));
        }
        share *= step;
    }
    found
}

fn part(inner: &Grey, size_px: [usize; 2], share: f64) -> Option<SlopePart> {
    let grey = inner.resized(size_px[0], size_px[1])?;
    let (columns, rows) = (grey.columns.checked_sub(2)?, grey.rows.checked_sub(2)?);
    if columns * rows < LEAST_PIXELS {
        return None;
    }
    let mut values = slopes(&grey);
    let count = (columns * rows) as f32;
    let mean = [0, 1].map(|axis| values.iter().skip(axis).step_by(2).sum::<f32>() / count);
    for pair in values.as_chunks_mut::<2>().0 {
        *pair = [pair[0] - mean[0], pair[1] - mean[1]];
    }
    let length = values.iter().map(|value| value * value).sum::<f32>().sqrt();
    if length * length < count * EVEN {
        return None;
    }
    for value in &mut values {
        *value /= length;
    }
    Some(SlopePart { columns, rows, values: Lanes::of(&values, 2 * columns), size_px, share })
}

/// Correlation of the slopes of two pictures of the same size, -1..1; 0 where one of them is even.
pub(super) fn slope_correlation(a: &Grey, b: &Grey) -> f64 {
    correlation(&slopes(a), &slopes(b))
}

/// Differences of the neighbours on either side, of a picture made smoother: a place between two pixels then still fits.
fn slopes(grey: &Grey) -> Vec<f32> {
    let fine = grey.smooth();
    let at = |column: usize, row: usize| fine.values[row * fine.columns + column];
    (1..grey.rows.saturating_sub(1))
        .flat_map(|row| (1..grey.columns.saturating_sub(1)).map(move |column| (column, row)))
        .flat_map(|(column, row)| {
            [at(column + 1, row) - at(column - 1, row), at(column, row + 1) - at(column, row - 1)]
        })
        .collect()
}
