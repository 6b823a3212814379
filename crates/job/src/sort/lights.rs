//! Lights that spoil frames: lamps that pass, and the moon's glare.

use super::measures;
use super::request::MeasuredFrame;
use super::signature::{CELLS, FrameSignature};
use super::spread::{median, quantile, sigma};
use super::streams::Stream;

/// Frames on each side that say how a cell looks without the light; a car takes two or three frames to pass.
const AROUND: usize = 5;
/// Frames on each side at least: with one, a change that stays cannot be told from one that goes.
const LEAST_AROUND: usize = 2;
/// How much brighter a cell is in the light, stops, and in times of its usual change. An aurora rarely doubles and falls
/// back within one frame.
const BRIGHTER_STOPS: f64 = 0.7;
const BRIGHTER_SIGMA: f64 = 5.0;
/// Red light over green that lamps have at least: the green line gives less than half (sRGB, from memory).
const LAMP_RED_OVER_GREEN: f64 = 0.5;
/// Green that lamps add over the mean of red and blue, at most: white and warm ones add less green than that; an aurora with
/// red tops adds 1.5 times and more (rendered rays: 1.5 to 3; sRGB of lamps from memory: 0.9 to 1.1).
const LAMP_GREEN_OVER_OTHERS: f64 = 1.4;
/// Glare is so much brighter than the middle of the frame, stops.
const GLARE_STOPS: f32 = 2.0;

/// Share of each frame that a passing light made brighter, and by how many stops; `None` where the frames around cannot say.
pub(super) fn lamps(frames: &[&MeasuredFrame], streams: &[Stream]) -> Vec<Option<(f64, f64)>> {
    let mut found = vec![None; frames.len()];
    for stream in streams {
        for setup in stream.setups() {
            // a frame that looks elsewhere is brighter where something else is
            let here = setup.filter(|place| !stream.elsewhere.contains(place));
            let members: Vec<usize> = here.map(|place| stream.frames[place]).collect();
            for (index, lamp) in members.iter().zip(passing(frames, &members)) {
                found[*index] = lamp;
            }
        }
    }
    found
}

/// A frame's cells as if all were taken with one setting.
struct Even<'a> {
    signature: &'a FrameSignature,
    /// Stops of light that its settings let in.
    offset: f64,
}

impl Even<'_> {
    fn level(&self, channel: usize, cell: usize) -> f64 {
        f64::from(self.signature.stops(channel, cell)) - self.offset
    }
}

fn passing(frames: &[&MeasuredFrame], members: &[usize]) -> Vec<Option<(f64, f64)>> {
    let even: Vec<Option<Even<'_>>> = members
        .iter()
        .map(|index| {
            let frame = &frames[*index];
            let offset = measures::setting_stops(&frame.report).unwrap_or(0.0);
            frame.signature.as_ref().map(|signature| Even { signature, offset })
        })
        .collect();
    let usual = usual_change(&even);
    (0..members.len())
        .map(|place| {
            let side = |range: std::ops::Range<usize>| -> Vec<&Even<'_>> {
                even.get(range).unwrap_or_default().iter().flatten().collect()
            };
            let before = side(place.saturating_sub(AROUND)..place);
            let after = side(place + 1..(place + 1 + AROUND).min(members.len()));
            let here = even[place].as_ref()?;
            if before.len() < LEAST_AROUND || after.len() < LEAST_AROUND {
                return None;
            }
            Some(brighter(here, &before, &after, usual))
        })
        .collect()
}

/// Standard deviation of a cell's change from frame to frame, stops.
fn usual_change(even: &[Option<Even<'_>>]) -> f64 {
    let changes: Vec<f64> = even
        .windows(2)
        .filter_map(|pair| pair[0].as_ref().zip(pair[1].as_ref()))
        .flat_map(|(a, b)| (0..CELLS).step_by(5).map(|cell| b.level(1, cell) - a.level(1, cell)))
        .collect();
    sigma(&changes).unwrap_or(0.0)
}

fn brighter(here: &Even<'_>, before: &[&Even<'_>], after: &[&Even<'_>], usual: f64) -> (f64, f64) {
    let least = BRIGHTER_STOPS.max(BRIGHTER_SIGMA * usual);
    let mut gains = Vec::new();
    for cell in 0..CELLS {
        // brighter than on both sides: what stays bright is no passing light
        let without = |channel: usize| {
            let side = |frames: &[&Even<'_>]| median(frames.iter().map(|frame| frame.level(channel, cell)));
            side(before).unwrap_or(0.0).max(side(after).unwrap_or(0.0))
        };
        let base = without(1);
        let gain = here.level(1, cell) - base;
        if gain < least {
            continue;
        }
        if here.signature.has_colour() {
            let added = |channel: usize, base: f64| here.level(channel, cell).exp2() - base.exp2();
            let [red, green, blue] = [added(0, without(0)), added(1, base), added(2, without(2))];
            if red < LAMP_RED_OVER_GREEN * green || green > LAMP_GREEN_OVER_OTHERS * 0.5 * (red + blue) {
                continue;
            }
        }
        gains.push(gain);
    }
    (gains.len() as f64 / CELLS as f64, median(gains).unwrap_or(0.0))
}

/// Share of a frame within the moon's glare; `None` where the moon is not known to be up or nothing is full.
///
/// * `moonlit`: whether the moon lights its sky, by the clock as corrected.
pub(super) fn glare(frame: &MeasuredFrame, moonlit: Option<bool>) -> Option<f64> {
    if moonlit != Some(true) || !measures::is_dark_hour(&frame.report) {
        return None;
    }
    let is_full = frame.report.clipping.iter().any(|channel| channel.share > 0.0);
    let signature = frame.signature.as_ref()?;
    let middle = quantile(signature.green().iter().map(|level| f64::from(*level)), 0.5)?;
    let in_glare = |cell: &usize| {
        let (red, green) = (signature.stops(0, *cell), signature.stops(1, *cell));
        f64::from(green - GLARE_STOPS) >= middle && f64::from((red - green).exp2()) >= LAMP_RED_OVER_GREEN
    };
    Some(if is_full { (0..CELLS).filter(in_glare).count() as f64 / CELLS as f64 } else { 0.0 })
}
