//! Whether a frame in which no aurora was found is sure to hold none.
//!
//! One picture cannot tell a faint aurora from its own sky, but a night can: what is greener than the emptiest frames at the
//! same pointing is not airglow, town or moon alone.

use frame::AuroraPresence;

use super::measures;
use super::request::MeasuredFrame;
use super::signature::CELLS;
use super::spread::quantile;
use super::streams::Stream;

/// Place in order of a cell's green that counts as the emptiest.
const EMPTIEST: f64 = 0.1;
/// Frames at a pointing from which they say how it looks empty.
const LEAST_FRAMES: usize = 8;
/// Place in order of the cells that is looked at: a faint arc covers a tenth of the picture.
const GREENEST: f64 = 0.9;
/// Excess of green from which a frame may hold an aurora, stops: a little over one stored step, a twentieth of the light.
const GREENER_STOPS: f64 = 0.07;
/// Without frames to compare with, the probability up to which a frame is said to hold none: one in twenty.
const UNLIKELY: f64 = 0.05;

/// How much greener the greenest tenth of each frame is than the emptiest frames at its pointing, stops; `None` where too few
/// frames of the pointing have colour.
pub(super) fn greener(frames: &[&MeasuredFrame], streams: &[Stream]) -> Vec<Option<f64>> {
    let mut found = vec![None; frames.len()];
    for stream in streams {
        for setup in stream.setups() {
            let here = setup.filter(|place| !stream.elsewhere.contains(place));
            let greens: Vec<(usize, [f64; CELLS])> = here
                .map(|place| stream.frames[place])
                .filter(|index| measures::is_dark_hour(&frames[*index].report))
                .filter_map(|index| Some((index, green(frames[index])?)))
                .collect();
            if greens.len() < LEAST_FRAMES {
                continue;
            }
            let empty: [f64; CELLS] = std::array::from_fn(|cell| {
                quantile(greens.iter().map(|(_index, green)| green[cell]), EMPTIEST).unwrap_or(0.0)
            });
            for (index, green) in &greens {
                found[*index] = quantile(green.iter().zip(&empty).map(|(green, empty)| green - empty), GREENEST);
            }
        }
    }
    found
}

/// Green over the mean of red and blue, cell by cell, stops; `None` in grey.
fn green(frame: &MeasuredFrame) -> Option<[f64; CELLS]> {
    let signature = frame.signature.as_ref().filter(|signature| signature.has_colour())?;
    Some(std::array::from_fn(|cell| {
        let [red, green, blue] = [0, 1, 2].map(|channel| f64::from(signature.stops(channel, cell)));
        green - (0.5 * (red.exp2() + blue.exp2())).log2()
    }))
}

/// What is left to doubt where the check found no aurora, in words; `None` where there is none, or where one was found.
pub(super) fn doubt(frame: &MeasuredFrame, greener: Option<f64>) -> Option<String> {
    let aurora = measures::aurora(&frame.report).filter(|aurora| aurora.presence == AuroraPresence::No)?;
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
