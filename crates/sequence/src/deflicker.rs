//! Exposure changes between frames, evened out by the background that was measured, for a moving picture.
//!
//! What a clip shows as flicker is of two kinds: settings changed by hand or by the camera, in steps that the file names, and
//! the scatter of shutter and iris, some per cent a frame. Aurora changes the background too; a rule that only holds every
//! frame's level to a smooth course would flatten a pulsating sky. So a step is taken out only where the settings changed (by
//! the amount measured there), and without a change of settings no more than the scatter of a shutter is.

use crate::SequenceError;
use crate::robust::quantile;

/// Frames on each side that a smooth course rests on: half a second of a clip at 25 frames a second. Common practice, no source.
pub const DEFLICKER_REACH: usize = 12;
/// Part of the cells that may be without aurora even under a broad arc: their brightest is the background.
const BACKGROUND_PLACE: f64 = 0.25;
/// Frames on each side of a change of settings that its size is measured on.
const STEP_FRAMES: usize = 3;
/// How far the measured size of a step may be from that of the settings, natural logarithm: half a stop. Beyond it something
/// else happened in the same moment, and the settings are believed.
const STEP_DOUBT: f64 = 0.35;
/// Settings this alike are the same, natural logarithm: rounding of third-stops in files is below 1 %.
pub const SAME_SETTINGS: f64 = 0.02;
/// Scatter of shutter and iris that is evened out without a change of settings, natural logarithm: 10 %. Iris scatter is a
/// tenth of a stop by common practice, no source.
const SCATTER: f64 = 0.1;
/// Where a file does not name its settings every jump could be theirs: up to two stops are evened out, and the caller is told.
const MOST_UNNAMED: f64 = 1.386_294_361_119_890_6;

/// What one frame says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FrameLevel {
    /// Background of red, green and blue, linear light as shown, more than 0: see [`background_level`].
    pub background: [f64; 3],
    /// Exposure time times ISO over the square of the f-number, in any one unit; `None` where the file does not say.
    pub exposure: Option<f64>,
}

/// What the correction of a sequence rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DeflickerBasis {
    /// Every frame names its settings: steps are theirs, in the size measured.
    Settings,
    /// Not every frame does: every jump up to two stops is evened out, be it the camera's or the sky's.
    LevelsAlone,
}

/// Factors of a sequence.
#[derive(Debug, Clone, PartialEq)]
pub struct Deflicker {
    /// What linear light of red, green and blue is to be multiplied with, frame by frame.
    pub gains: Vec<[f64; 3]>,
    /// On what they rest.
    pub basis: DeflickerBasis,
    /// Changes of settings found.
    pub steps: usize,
}

/// Background of one channel: the level that a quarter of the cells stay below. `None` without a cell of more than 0.
///
/// * `cells`: mean light of equal cells of the sky, linear.
///
/// ```
/// // an arc over half of the cells does not move it
/// let cells: Vec<f32> = (0..100).map(|cell| if cell < 50 { 0.02 } else { 0.4 }).collect();
/// assert!((sequence::background_level(&cells).unwrap() - 0.02).abs() < 1e-6);
/// ```
pub fn background_level(cells: &[f32]) -> Option<f64> {
    let mut lit: Vec<f64> =
        cells.iter().map(|cell| f64::from(*cell)).filter(|cell| cell.is_finite() && *cell > 0.0).collect();
    quantile(&mut lit, BACKGROUND_PLACE)
}

/// Factors that even exposure changes out over a sequence.
///
/// Logarithms of the levels are split into a staircase of settings and the rest. The staircase is replaced by a smooth course
/// (local straight line by weighted least squares, tricube weights, 12 frames each side), and what the rest scatters about its
/// own smooth course is taken out up to 10 %. A sky that brightens steadily keeps its course: a local straight line
/// reproduces a straight line, at the ends too.
///
/// # Errors
///
/// A level that is not a number above 0, or such an exposure.
///
/// # Source
///
/// Local straight lines with tricube weights: Cleveland 1979, *J. Am. Stat. Assoc.* 74, 829, without his robustness steps.
///
/// # Example
///
/// ```
/// use sequence::{FrameLevel, deflicker_gains};
///
/// // four times the exposure from the 30th frame on: afterwards no neighbour differs by more than a tenth
/// let frame = |i| FrameLevel {
///     background: [if i < 30 { 0.01 } else { 0.04 }; 3],
///     exposure: Some(if i < 30 { 2.0 } else { 8.0 }),
/// };
/// let frames: Vec<_> = (0..60).map(frame).collect();
/// let gains = deflicker_gains(&frames)?.gains;
/// let shown: Vec<f64> = frames.iter().zip(&gains).map(|(frame, gain)| frame.background[1] * gain[1]).collect();
/// assert!(shown.windows(2).all(|pair| (pair[1] / pair[0] - 1.0).abs() < 0.1));
/// # Ok::<(), sequence::SequenceError>(())
/// ```
pub fn deflicker_gains(frames: &[FrameLevel]) -> Result<Deflicker, SequenceError> {
    let is_positive = |value: f64| value.is_finite() && value > 0.0;
    let wrong = |what, value| SequenceError::OutOfRange { what, value, bound: "a number above 0" };
    for frame in frames {
        if let Some(bad) = frame.background.into_iter().find(|level| !is_positive(*level)) {
            return Err(wrong("a frame's background", bad));
        }
        if let Some(bad) = frame.exposure.filter(|exposure| !is_positive(*exposure)) {
            return Err(wrong("a frame's exposure", bad));
        }
    }
    let exposures: Option<Vec<f64>> = frames.iter().map(|frame| frame.exposure.map(f64::ln)).collect();
    let mut gains = vec![[1.0; 3]; frames.len()];
    let mut steps = 0;
    for channel in 0..3 {
        let levels: Vec<f64> = frames.iter().map(|frame| frame.background[channel].ln()).collect();
        let logs = match &exposures {
            Some(exposures) => {
                let stairs = stairs(&levels, exposures);
                steps = stairs.steps;
                by_stairs(&levels, &stairs.heights)
            }
            None => by_levels(&levels),
        };
        for (gain, log) in gains.iter_mut().zip(logs) {
            gain[channel] = log.exp();
        }
    }
    let basis = if exposures.is_some() { DeflickerBasis::Settings } else { DeflickerBasis::LevelsAlone };
    Ok(Deflicker { gains, basis, steps })
}

/// The settings' part of the levels.
struct Stairs {
    heights: Vec<f64>,
    steps: usize,
}

fn stairs(levels: &[f64], exposures: &[f64]) -> Stairs {
    let is_change = |i: usize| (exposures[i] - exposures[i - 1]).abs() > SAME_SETTINGS;
    let mut heights = vec![0.0; levels.len()];
    let mut steps = 0;
    for i in 1..levels.len() {
        heights[i] = heights[i - 1];
        if !is_change(i) {
            continue;
        }
        steps += 1;
        let named = exposures[i] - exposures[i - 1];
        // neighbours of the same settings on either side, so that one odd frame does not count
        let before = (1..i).rev().take(STEP_FRAMES - 1).take_while(|k| !is_change(*k)).count();
        let after = (i + 1..levels.len()).take(STEP_FRAMES - 1).take_while(|k| !is_change(*k)).count();
        let middle = |from: usize, to: usize| quantile(&mut levels[from..=to].to_vec(), 0.5).unwrap_or(levels[i]);
        let measured = middle(i, i + after) - middle(i - 1 - before, i - 1);
        heights[i] += if (measured - named).abs() <= STEP_DOUBT { measured } else { named };
    }
    Stairs { heights, steps }
}

fn by_stairs(levels: &[f64], heights: &[f64]) -> Vec<f64> {
    let rest: Vec<f64> = levels.iter().zip(heights).map(|(level, height)| level - height).collect();
    (0..levels.len())
        .map(|i| {
            let scatter = (rest[i] - smooth(&rest, i)).clamp(-SCATTER, SCATTER);
            smooth(heights, i) - heights[i] - scatter
        })
        .collect()
}

fn by_levels(levels: &[f64]) -> Vec<f64> {
    (0..levels.len()).map(|i| (smooth(levels, i) - levels[i]).clamp(-MOST_UNNAMED, MOST_UNNAMED)).collect()
}

/// A local straight line's height at a place.
fn smooth(values: &[f64], at: usize) -> f64 {
    let (from, to) = (at.saturating_sub(DEFLICKER_REACH), (at + DEFLICKER_REACH).min(values.len() - 1));
    let reach = (DEFLICKER_REACH + 1) as f64;
    let (mut w0, mut w1, mut w2, mut y0, mut y1) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for (i, value) in values.iter().enumerate().take(to + 1).skip(from) {
        let x = i as f64 - at as f64;
        let weight = (1.0 - (x.abs() / reach).powi(3)).powi(3);
        w0 += weight;
        w1 += weight * x;
        w2 += weight * x * x;
        y0 += weight * value;
        y1 += weight * x * value;
    }
    let spread = w0 * w2 - w1 * w1;
    if spread > 0.0 { (w2 * y0 - w1 * y1) / spread } else { y0 / w0 }
}
