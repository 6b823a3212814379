//! Whether a frame in which no aurora was found is sure to hold none.
//!
//! One picture cannot tell a faint aurora from its own sky, but a night can: what is greener than the emptiest frame at the
//! same pointing is not airglow, town or moon alone.

use frame::AuroraPresence;

use super::measures::{self, SeenAurora};
use super::report::{DudKind, DudReason};
use super::request::MeasuredFrame;
use super::signature::{FrameSignature, SIDE};
use super::spread::quantile;
use super::streams::Stream;

/// Blocks of two by two cells: their mean is rounded less.
const BLOCK: usize = 2;
const ACROSS: usize = SIDE / BLOCK;
const BLOCKS: usize = ACROSS * ACROSS;
/// Frames at a pointing from which one of them may be empty.
const LEAST_FRAMES: usize = 8;
/// Level of the picture under which its colour is that of rounding, stops against full scale.
const DARK_STOPS: f64 = -9.0;
/// Place in order of the blocks that is looked at: a faint arc covers a tenth of the picture.
const GREENEST: f64 = 0.9;
/// Excess of green from which a frame may hold an aurora, stops: three times what the rounding of stored levels makes (0.016 on
/// rendered frames without any), and an aurora of 0.7 kR under a dark sky there.
const GREENER_STOPS: f64 = 0.05;
/// Without frames to compare with, the probability up to which a frame is said to hold none: one in twenty.
const UNLIKELY: f64 = 0.05;

/// How much greener the greenest tenth of each frame is than the emptiest frame at its pointing, stops; `None` where too few
/// frames of the pointing have colour.
pub(super) fn greener(frames: &[&MeasuredFrame], streams: &[Stream]) -> Vec<Option<f64>> {
    let mut found = vec![None; frames.len()];
    for stream in streams {
        for setup in stream.setups() {
            let here = setup.filter(|place| !stream.elsewhere.contains(place));
            let greens: Vec<(usize, [f64; BLOCKS])> = here
                .map(|place| stream.frames[place])
                .filter(|index| measures::is_dark_hour(&frames[*index].report))
                .filter_map(|index| Some((index, green(frames[index].signature.as_ref()?)?)))
                .collect();
            let sum = |blocks: &[f64; BLOCKS]| blocks.iter().sum::<f64>();
            let emptiest = greens.iter().min_by(|a, b| sum(&a.1).total_cmp(&sum(&b.1)));
            let Some((_index, empty)) = emptiest.filter(|_| greens.len() >= LEAST_FRAMES) else { continue };
            for (index, green) in &greens {
                found[*index] = quantile(green.iter().zip(empty).map(|(green, empty)| green - empty), GREENEST);
            }
        }
    }
    found
}

/// Green over the mean of red and blue, block by block, stops; `None` in grey and in the dark.
fn green(signature: &FrameSignature) -> Option<[f64; BLOCKS]> {
    let level = quantile(signature.green().iter().map(|stops| f64::from(*stops)), 0.5)?;
    if !signature.has_colour() || level < DARK_STOPS {
        return None;
    }
    let excess = |cell: usize| {
        let [red, green, blue] = [0, 1, 2].map(|channel| f64::from(signature.stops(channel, cell)));
        green - (0.5 * (red.exp2() + blue.exp2())).log2()
    };
    let first = |block: usize| (block / ACROSS * SIDE + block % ACROSS) * BLOCK;
    let cells = |block: usize| [0, 1, SIDE, SIDE + 1].map(|step| first(block) + step);
    Some(std::array::from_fn(|block| cells(block).into_iter().map(excess).sum::<f64>() / (BLOCK * BLOCK) as f64))
}

/// What is left to doubt where the check found no aurora, in words; `None` where there is none, or where one was found.
pub(super) fn doubt(frame: &MeasuredFrame, greener: Option<f64>) -> Option<String> {
    let aurora = missing(frame)?;
    match greener {
        Some(stops) if stops > GREENER_STOPS => Some(format!(
            "too faint to be told: no aurora by itself, but {:.0} % greener than this pointing is when empty",
            100.0 * (stops.exp2() - 1.0)
        )),
        None if aurora.probability > UNLIKELY => Some(format!(
            "too faint to be told: {:.0} chances in 100 that there is an aurora, and too few frames to compare with",
            100.0 * aurora.probability
        )),
        _ => None,
    }
}

/// That a frame surely holds none, with what says so and how far that may go; `None` where one was found or is doubted, and by
/// day.
pub(super) fn none(frame: &MeasuredFrame, greener: Option<f64>) -> Option<DudReason> {
    let aurora = missing(frame).filter(|_| doubt(frame, greener).is_none())?;
    let (value, threshold, against) = if let Some(stops) = greener {
        let percent = 100.0 * (stops.exp2() - 1.0);
        (stops, GREENER_STOPS, format!("{percent:.0} % greener than this pointing is when empty"))
    } else {
        let chances = 100.0 * aurora.probability;
        (aurora.probability, UNLIKELY, format!("{chances:.0} chances in 100 that there is one"))
    };
    Some(DudReason {
        kind: DudKind::NoAurora,
        value: Some(value),
        threshold: Some(threshold),
        words: format!("no aurora above the error bar: {against}"),
    })
}

/// What was looked at where no aurora was found and one could have been.
fn missing(frame: &MeasuredFrame) -> Option<SeenAurora> {
    let aurora = measures::aurora(&frame.report).filter(|aurora| aurora.presence == AuroraPresence::No)?;
    measures::misses_aurora(&frame.report).then_some(aurora)
}
