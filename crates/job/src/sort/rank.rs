//! How good a frame is among this night's, 0..1.

use frame::AuroraPresence;

use super::duds::Night;
use super::measures;
use super::request::MeasuredFrame;
use super::signature::{CELLS, FrameSignature, SIDE};
use super::spread::ranks;

/// Weights of the parts (judgement: people keep frames for the aurora first, and forgive anything before softness).
const WEIGHTS: Parts<f64> = Parts { aurora: 0.40, structure: 0.15, sharpness: 0.25, exposure: 0.10, clearness: 0.10 };
/// Width over the night's best at which sharpness is worth nothing.
const WORTHLESS_WIDTH: f64 = 1.6;
/// Where the sky belongs, stops from mid-grey, and how far off it is worth nothing: as `check` advises.
const WISHED_STOPS: f64 = -1.5;
const WORTHLESS_STOPS: f64 = 4.0;
/// What counts where nothing is known.
const UNKNOWN: f64 = 0.4;
/// Greatest part for an aurora that is only a colour in a picture.
const COLOUR_ONLY: f64 = 0.7;

/// The parts of a score.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Parts<T> {
    pub(super) aurora: T,
    pub(super) structure: T,
    pub(super) sharpness: T,
    pub(super) exposure: T,
    pub(super) clearness: T,
}

impl Parts<f64> {
    /// Their weighted sum, 0..1.
    pub(super) fn score(&self) -> f64 {
        let w = &WEIGHTS;
        let sum = w.aurora * self.aurora
            + w.structure * self.structure
            + w.sharpness * self.sharpness
            + w.exposure * self.exposure
            + w.clearness * self.clearness;
        sum.clamp(0.0, 1.0)
    }
}

/// The parts of every frame.
///
/// * `counts`: whether a frame is ranked; duds do not shift the others' places.
pub(super) fn parts(night: &Night<'_>, counts: &[bool]) -> Vec<Parts<f64>> {
    let of = |value: &dyn Fn(&MeasuredFrame) -> Option<f64>| -> Vec<Option<f64>> {
        let ranked = night.frames.iter().zip(counts).map(|(frame, counts)| counts.then(|| value(frame)).flatten());
        ranks(&ranked.collect::<Vec<_>>())
    };
    let brightness = of(&|frame| measures::aurora(&frame.report)?.brightest_kr);
    // green by day is grass
    let green = of(&|frame| {
        frame.signature.as_ref().filter(|_picture| measures::may_show_aurora(&frame.report)).and_then(green_excess)
    });
    let structure = of(&|frame| frame.signature.as_ref().map(structure));
    night
        .frames
        .iter()
        .enumerate()
        .map(|(index, frame)| Parts {
            aurora: aurora(frame, brightness[index], green[index]),
            structure: structure[index].unwrap_or(UNKNOWN),
            sharpness: sharpness(night, index),
            exposure: exposure(frame),
            clearness: clearness(night, index),
        })
        .collect()
}

fn aurora(frame: &MeasuredFrame, brightness: Option<f64>, green: Option<f64>) -> f64 {
    match measures::aurora(&frame.report) {
        Some(seen) => match seen.presence {
            AuroraPresence::Yes => {
                let extent = seen.extent.unwrap_or(0.0).clamp(0.0, 1.0);
                0.4 + 0.4 * brightness.unwrap_or(UNKNOWN) + 0.2 * extent
            }
            AuroraPresence::CannotTell => UNKNOWN * seen.probability.clamp(0.0, 1.0),
            AuroraPresence::No => 0.0,
        },
        None if !measures::may_show_aurora(&frame.report) => 0.0,
        None => COLOUR_ONLY * green.unwrap_or(UNKNOWN),
    }
}

fn sharpness(night: &Night<'_>, index: usize) -> f64 {
    let report = &night.frames[index].report;
    let best = night.lenses[night.lens_of[index]].best_hfd_px;
    let (Some(width), Some(best)) = (measures::hfd_px(report), best) else { return UNKNOWN };
    let widened = width + 0.5 * measures::trail_px(report).unwrap_or(0.0);
    (1.0 - (widened / best - 1.0) / (WORTHLESS_WIDTH - 1.0)).clamp(0.0, 1.0)
}

fn exposure(frame: &MeasuredFrame) -> f64 {
    let Some(stops) = measures::sky_stops(&frame.report) else { return UNKNOWN };
    let burnt = 20.0 * measures::clipped_share(&frame.report).unwrap_or(0.0);
    (1.0 - (stops - WISHED_STOPS).abs() / WORTHLESS_STOPS - burnt).clamp(0.0, 1.0)
}

fn clearness(night: &Night<'_>, index: usize) -> f64 {
    let report = &night.frames[index].report;
    if let Some((cloud, _low, _high)) = measures::cloud(report) {
        return (1.0 - cloud).clamp(0.0, 1.0);
    }
    match night.pointings[index] {
        Some(pointing) if pointing.stars > 0.0 && report.stars.alike => {
            (f64::from(report.stars.count) / pointing.stars).clamp(0.0, 1.0)
        }
        _ => UNKNOWN,
    }
}

/// Mean by which green exceeds red and blue, stops; `None` in grey.
fn green_excess(signature: &FrameSignature) -> Option<f64> {
    if !signature.has_colour() {
        return None;
    }
    let excess = |cell: usize| {
        let other = 0.5 * (signature.stops(0, cell).exp2() + signature.stops(2, cell).exp2());
        f64::from((signature.stops(1, cell).exp2() / other).log2().max(0.0))
    };
    Some((0..CELLS).map(excess).sum::<f64>() / CELLS as f64)
}

/// How much a cell differs from the mean of its neighbours, root mean square over the frame, stops: bands and rays against
/// an even veil.
fn structure(signature: &FrameSignature) -> f64 {
    let levels = signature.green();
    let mut sum = 0.0;
    let mut count = 0.0;
    for row in 1..SIDE - 1 {
        for column in 1..SIDE - 1 {
            let at = |row: usize, column: usize| f64::from(levels[row * SIDE + column]);
            let around = at(row - 1, column) + at(row + 1, column) + at(row, column - 1) + at(row, column + 1);
            sum += (at(row, column) - 0.25 * around).powi(2);
            count += 1.0;
        }
    }
    (sum / f64::max(count, 1.0)).sqrt()
}
