use quantity::Timestamp;
use serde::Serialize;

use super::cells::SkyCells;
use super::found::PulsationBlock;
use super::judge::judge;
use crate::SequenceError;
use crate::keogram::LONGEST_S;
use crate::robust::median;

/// Samples of a block: at 25 frames a second 20 s of flicker; in the next level, eight frames averaged, 164 s of pulsation.
const BLOCK: usize = 512;
/// Frames averaged from one level to the next.
const DECIMATION: usize = 8;
/// Levels: up to 64 frames averaged.
const LEVELS: usize = 3;
/// A pause of so many frame intervals ends a block: a spectrum across long pauses has as many false periods as true ones.
const PAUSE_INTERVALS: f64 = 5.0;
/// Fewest samples worth judging when a sequence ends or pauses.
const LEAST_BLOCK: usize = 32;

/// How pulsation is looked for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PulsationSettings {
    /// Exposure of the frames, s; none where it is not known.
    pub exposure_s: Option<f64>,
    /// Chance, over all cells of a block, below which a period is believed.
    pub largest_chance: f64,
}

impl Default for PulsationSettings {
    /// Exposure not known; one false find in a hundred blocks.
    fn default() -> Self {
        Self { exposure_s: None, largest_chance: 0.01 }
    }
}

/// Follows the cells of the sky frame by frame and judges a block of time when it is full.
///
/// What is held does not grow with the number of frames: each of three levels holds one block of 512 samples a cell, the second of means
/// of eight frames, the third of sixty-four, so that fast flicker and slow pulsation are both within reach.
#[derive(Debug, Clone)]
pub struct PulsationWatch {
    settings: PulsationSettings,
    cells: SkyCells,
    first: Option<Timestamp>,
    last_s: f64,
    levels: Vec<Level>,
}

/// Samples at one rate.
#[derive(Debug, Clone)]
pub(super) struct Level {
    /// Frames in a sample.
    pub(super) frames_averaged: usize,
    pub(super) times_s: Vec<f64>,
    /// One list of values a sample.
    pub(super) values: Vec<Vec<f32>>,
    /// Sums and counts of the sample in the making.
    sums: Vec<(f64, u32)>,
    time_sum_s: f64,
    pending: usize,
}

impl PulsationWatch {
    /// A watch over some cells.
    pub fn new(cells: SkyCells, settings: PulsationSettings) -> Self {
        let count = cells.cells.len();
        let levels =
            (0..LEVELS).map(|level| Level::new(DECIMATION.pow(u32::try_from(level).unwrap_or(0)), count)).collect();
        Self { settings, cells, first: None, last_s: f64::NEG_INFINITY, levels }
    }

    /// The cells.
    pub fn cells(&self) -> &SkyCells {
        &self.cells
    }

    /// Adds a frame; gives back the blocks that it completes.
    ///
    /// * `at`: the middle of its exposure; frames in order.
    /// * `values`: one a cell, linear light in any unit; NaN where there is none.
    ///
    /// # Errors
    ///
    /// Another number of values than cells, or a time not after the last frame or more than two days after the first.
    pub fn push(&mut self, at: Timestamp, values: &[f32]) -> Result<Vec<PulsationBlock>, SequenceError> {
        let expected = self.cells.cells.len();
        if values.len() != expected {
            return Err(SequenceError::UnequalLengths { what: "the list of cells", found: values.len(), expected });
        }
        let first = *self.first.get_or_insert(at);
        let offset_s = at.duration_since(first).as_secs_f64();
        if !(offset_s > self.last_s && offset_s <= LONGEST_S) {
            return Err(SequenceError::OutOfSpan { offset_s, longest_s: LONGEST_S });
        }
        let mut blocks = Vec::new();
        if self.pauses(offset_s) {
            blocks = self.judge_rest();
        }
        self.last_s = offset_s;
        for level in &mut self.levels {
            level.add(offset_s, values);
            if level.times_s.len() >= BLOCK {
                blocks.extend(judge(level, &self.cells, &self.settings));
                level.times_s.clear();
                level.values.clear();
            }
        }
        Ok(blocks)
    }

    /// Judges what is left when the sequence ends.
    pub fn finish(mut self) -> Vec<PulsationBlock> {
        self.judge_rest()
    }

    /// Whether the frames have paused before a time.
    fn pauses(&self, offset_s: f64) -> bool {
        let times_s = self.levels.first().map_or(&[][..], |level| &level.times_s);
        let mut steps: Vec<f64> = times_s.windows(2).map(|pair| pair[1] - pair[0]).collect();
        median(&mut steps).is_some_and(|interval_s| offset_s - self.last_s > PAUSE_INTERVALS * interval_s)
    }

    /// Judges and empties all levels.
    fn judge_rest(&mut self) -> Vec<PulsationBlock> {
        self.levels.iter_mut().for_each(Level::close);
        // a level of means tells nothing that the frames themselves do not, where all of them still lie in one block
        let first_of = |level: &Level| level.times_s.first().copied().unwrap_or(f64::INFINITY);
        let frames_from_s = self.levels.first().map_or(f64::INFINITY, first_of);
        let mut blocks = Vec::new();
        for level in &self.levels {
            let averaged_before = level.frames_averaged == 1 || first_of(level) < frames_from_s;
            if level.times_s.len() >= LEAST_BLOCK && averaged_before {
                blocks.extend(judge(level, &self.cells, &self.settings));
            }
        }
        for level in &mut self.levels {
            level.times_s.clear();
            level.values.clear();
        }
        blocks
    }
}

impl Level {
    fn new(frames_averaged: usize, cells: usize) -> Self {
        Self {
            frames_averaged,
            times_s: Vec::new(),
            values: Vec::new(),
            sums: vec![(0.0, 0); cells],
            time_sum_s: 0.0,
            pending: 0,
        }
    }

    fn add(&mut self, at_s: f64, values: &[f32]) {
        for ((sum, count), value) in self.sums.iter_mut().zip(values).filter(|(_, value)| value.is_finite()) {
            *sum += f64::from(*value);
            *count += 1;
        }
        self.time_sum_s += at_s;
        self.pending += 1;
        if self.pending >= self.frames_averaged {
            self.close();
        }
    }

    /// Ends the sample in the making, whatever is in it; a sample of less than half its frames is dropped.
    fn close(&mut self) {
        if 2 * self.pending >= self.frames_averaged && self.pending > 0 {
            #[expect(clippy::cast_possible_truncation, reason = "a mean of numbers of this size")]
            let means = self.sums.iter().map(
                |(sum, count)| {
                    if *count == 0 { f32::NAN } else { (sum / f64::from(*count)) as f32 }
                },
            );
            self.values.push(means.collect());
            self.times_s.push(self.time_sum_s / self.pending as f64);
        }
        self.sums.fill((0.0, 0));
        self.time_sum_s = 0.0;
        self.pending = 0;
    }
}
