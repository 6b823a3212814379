use quantity::Timestamp;
use serde::{Deserialize, Serialize};

use super::line::SliceLine;
use crate::SequenceError;
use crate::magnetogram::time_after;
use crate::robust::quantile;

/// Longest sequence, s: two days. A frame further off has a wrong clock.
pub(crate) const LONGEST_S: f64 = 2.0 * 86_400.0;
/// Columns that a keogram may hold.
const COLUMNS: std::ops::RangeInclusive<usize> = 16..=20_000;
/// Place in order, over time, of the level that counts as a bin's own background: a lamp, the fall-off of the lens, airglow.
const BACKGROUND_PLACE: f64 = 0.1;

/// In what light is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LightUnit {
    /// Kilorayleighs.
    Kilorayleighs,
    /// Share of full scale, linear.
    ShareOfFullScale,
    /// The file's own numbers, linear.
    FileNumbers,
}

/// A column of a keogram.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct KeogramColumn {
    /// Middle of its time after the first frame, s.
    pub middle_s: f64,
    /// Frames in it.
    pub frames: u32,
    /// Mean of each bin over its frames; NaN where there is none.
    pub values: Vec<f32>,
}

/// Light along a line of the sky against time: a keogram along the magnetic meridian, an ewogram across it.
///
/// Frames are added one after another and not kept. Columns are equal pieces of time. When a frame falls beyond the last column
/// that may be held, every two columns become one of twice the length, so that memory does not grow with the number of frames.
#[derive(Debug, Clone)]
pub struct Keogram {
    line: SliceLine,
    unit: LightUnit,
    column_s: f64,
    /// Time of the first frame after the begin of the first column: half of the first column's length, so that an even sequence does
    /// not straddle the borders.
    lead_s: f64,
    most_columns: usize,
    first: Option<Timestamp>,
    frames: Vec<u32>,
    sums: Vec<f64>,
    counts: Vec<u32>,
}

impl Keogram {
    /// An empty keogram.
    ///
    /// * `column_s`: length of a column to begin with, s; the interval of the frames, or a few of them.
    /// * `most_columns`: columns held at most, 16 to 20 000.
    ///
    /// # Errors
    ///
    /// Numbers out of range.
    pub fn new(line: SliceLine, unit: LightUnit, column_s: f64, most_columns: usize) -> Result<Self, SequenceError> {
        if !(column_s > 0.0 && column_s <= LONGEST_S) {
            let (what, bound) = ("the length of a column in seconds", "above 0 and at most two days");
            return Err(SequenceError::OutOfRange { what, value: column_s, bound });
        }
        if !COLUMNS.contains(&most_columns) {
            let (what, bound) = ("the number of columns", "16 to 20000");
            return Err(SequenceError::OutOfRange { what, value: most_columns as f64, bound });
        }
        let [frames, counts] = [Vec::new(), Vec::new()];
        Ok(Self {
            line,
            unit,
            column_s,
            lead_s: column_s / 2.0,
            most_columns,
            first: None,
            frames,
            sums: Vec::new(),
            counts,
        })
    }

    /// Adds the slice of a frame.
    ///
    /// * `at`: the middle of its exposure. Frames may come out of order, but not before the first.
    /// * `slice`: one value a bin; NaN where there is none.
    ///
    /// # Errors
    ///
    /// Another number of values than bins, or a time before the first frame or more than two days after it.
    pub fn push(&mut self, at: Timestamp, slice: &[f32]) -> Result<(), SequenceError> {
        let bins = self.line.bins.len();
        if slice.len() != bins {
            return Err(SequenceError::UnequalLengths { what: "a slice", found: slice.len(), expected: bins });
        }
        let first = self.first.unwrap_or(at);
        let offset_s = at.duration_since(first).as_secs_f64();
        if !(0.0..=LONGEST_S).contains(&offset_s) {
            return Err(SequenceError::OutOfSpan { offset_s, longest_s: LONGEST_S });
        }
        self.first = Some(first);
        let since_s = offset_s + self.lead_s;
        while since_s / self.column_s >= self.most_columns as f64 {
            self.halve();
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to the most columns")]
        let column = (since_s / self.column_s) as usize;
        if column >= self.frames.len() {
            self.frames.resize(column + 1, 0);
            self.sums.resize((column + 1) * bins, 0.0);
            self.counts.resize((column + 1) * bins, 0);
        }
        self.frames[column] += 1;
        for (bin, value) in slice.iter().enumerate().filter(|(_, value)| value.is_finite()) {
            self.sums[column * bins + bin] += f64::from(*value);
            self.counts[column * bins + bin] += 1;
        }
        Ok(())
    }

    /// Makes every two columns one of twice the length.
    fn halve(&mut self) {
        let bins = self.line.bins.len();
        self.column_s *= 2.0;
        let columns = self.frames.len();
        let target = |column: usize| column / 2;
        for column in 1..columns {
            let into = target(column);
            let frames = std::mem::take(&mut self.frames[column]);
            self.frames[into] += frames;
            for bin in 0..bins {
                let sum = std::mem::take(&mut self.sums[column * bins + bin]);
                let count = std::mem::take(&mut self.counts[column * bins + bin]);
                self.sums[into * bins + bin] += sum;
                self.counts[into * bins + bin] += count;
            }
        }
        let kept = if columns == 0 { 0 } else { target(columns - 1) + 1 };
        self.frames.truncate(kept);
        self.sums.truncate(kept * bins);
        self.counts.truncate(kept * bins);
    }

    /// The line.
    pub fn line(&self) -> &SliceLine {
        &self.line
    }

    /// The unit of its values.
    pub fn unit(&self) -> LightUnit {
        self.unit
    }

    /// Length of a column, s.
    pub fn column_s(&self) -> f64 {
        self.column_s
    }

    /// Time of the first frame.
    pub fn first(&self) -> Option<Timestamp> {
        self.first
    }

    /// Columns, those without a frame included.
    pub fn len(&self) -> usize {
        self.frames.len()
    }

    /// Whether no frame has come.
    pub fn is_empty(&self) -> bool {
        self.frames.is_empty()
    }

    /// A column.
    pub fn column(&self, column: usize) -> Option<KeogramColumn> {
        let frames = *self.frames.get(column)?;
        let values = (0..self.line.bins.len()).map(|bin| self.value(column, bin)).collect();
        Some(KeogramColumn { middle_s: self.middle_s(column), frames, values })
    }

    /// One value; NaN where there is none.
    pub fn value(&self, column: usize, bin: usize) -> f32 {
        let index = column * self.line.bins.len() + bin;
        #[expect(clippy::cast_possible_truncation, reason = "a mean of numbers of this size")]
        match self.counts.get(index).copied().zip(self.sums.get(index).copied()) {
            Some((count, sum)) if count > 0 && bin < self.line.bins.len() => (sum / f64::from(count)) as f32,
            _ => f32::NAN,
        }
    }

    /// Middle of a column after the first frame, s.
    pub fn middle_s(&self, column: usize) -> f64 {
        (column as f64 + 0.5) * self.column_s - self.lead_s
    }

    /// Time of the middle of a column.
    pub fn time_of(&self, column: usize) -> Option<Timestamp> {
        time_after(self.first?, self.middle_s(column))
    }

    /// The level that each bin hardly ever falls below: what stays when the aurora is gone. NaN where a bin has no light.
    pub fn background(&self) -> Vec<f64> {
        let mut held = Vec::new();
        (0..self.line.bins.len())
            .map(|bin| {
                held.clear();
                held.extend((0..self.len()).map(|column| f64::from(self.value(column, bin))).filter(|v| v.is_finite()));
                quantile(&mut held, BACKGROUND_PLACE).unwrap_or(f64::NAN)
            })
            .collect()
    }

    /// All light of the line in each column: the mean over the bins times the length of sky, unit times degrees. NaN for columns
    /// without a frame.
    ///
    /// Bins without light of their own count as the mean of the others.
    pub fn total_light(&self) -> Vec<f64> {
        let length_deg = self.line.bins.len() as f64 * self.line.settings.step_deg;
        (0..self.len())
            .map(|column| {
                let lit =
                    (0..self.line.bins.len()).map(|bin| f64::from(self.value(column, bin))).filter(|v| v.is_finite());
                let (sum, count) = lit.fold((0.0, 0_u32), |(sum, count), value| (sum + value, count + 1));
                sum / f64::from(count) * length_deg
            })
            .collect()
    }

    /// Light at a magnetic latitude over time, between bins by a straight line. None where the line does not reach it.
    pub fn at_magnetic_latitude(&self, latitude_deg: f64) -> Option<Vec<f64>> {
        let of = |bin: usize| self.line.bins.get(bin)?.place?.magnetic_latitude_deg;
        let (below, share) = (0..self.line.bins.len().saturating_sub(1)).find_map(|bin| {
            let (a, b) = (of(bin)?, of(bin + 1)?);
            let share = (latitude_deg - a) / (b - a);
            (0.0..=1.0).contains(&share).then_some((bin, share))
        })?;
        let at = |column: usize| {
            let [a, b] = [below, below + 1].map(|bin| f64::from(self.value(column, bin)));
            a + (b - a) * share
        };
        Some((0..self.len()).map(at).collect())
    }
}
