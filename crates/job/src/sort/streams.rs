//! The frames of each camera, in the order in which it took them, cut where it was turned or laid aside.

use std::collections::BTreeMap;

use super::names;
use super::pointing::{Step, step};
use super::request::MeasuredFrame;
use super::spread::median;
use super::times::FrameTime;

/// Pause after which something new begins, s, and in typical intervals: whichever is longer.
const LONG_PAUSE: (f64, f64) = (120.0, 5.0);
/// Intervals on each side from which the typical one is taken.
const PAUSE_REACH: usize = 5;

/// The frames of one camera in order.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Stream {
    /// Indices of the frames.
    pub(super) frames: Vec<usize>,
    /// Time from the start of each frame to that of the next, s; empty where times are not known.
    pub(super) steps_s: Vec<f64>,
    /// What happened from each frame to the next.
    pub(super) turns: Vec<Step>,
    /// Whether a long pause lies between each frame and the next.
    pub(super) pauses: Vec<bool>,
    /// Places of single frames for which the camera was turned and turned back, as their stars say: they are of the sequence,
    /// but show another part of the sky.
    pub(super) elsewhere: Vec<usize>,
    /// Whether nothing but its folder tells its body from another of the same name.
    pub(super) by_folder: bool,
}

impl Stream {
    /// Runs of places of the stream in which the camera stood still.
    pub(super) fn setups(&self) -> Vec<std::ops::Range<usize>> {
        let mut found = Vec::new();
        let mut first = 0;
        for place in 0..self.frames.len() {
            let ends = self.turns.get(place).is_none_or(|turn| *turn != Step::Still)
                || self.pauses.get(place).copied().unwrap_or(true);
            if ends {
                found.push(first..place + 1);
                first = place + 1;
            }
        }
        found
    }
}

type Key = (Option<String>, Option<String>, [u32; 2], bool, String);

/// Sorts the frames by camera and time.
///
/// Two bodies of one model are told apart by their serial numbers. Where there is none, and the frames of one name lie in
/// several folders and their times interleave, each folder is a camera.
pub(super) fn streams(frames: &[&MeasuredFrame], times: &[Option<FrameTime>]) -> Vec<Stream> {
    let mut by_camera: BTreeMap<Key, Vec<usize>> = BTreeMap::new();
    for (index, frame) in frames.iter().enumerate() {
        let mut size = frame.report.size_px.unwrap_or_default();
        size.sort_unstable();
        let dated = times.get(index).is_some_and(Option::is_some);
        // frames without a time have only their names for an order, and these count within a folder
        let folder = if dated { String::new() } else { names::folder(&frame.name).to_owned() };
        let settings = &frame.report.settings;
        let key = (settings.camera.clone(), settings.camera_serial.clone(), size, dated, folder);
        by_camera.entry(key).or_default().push(index);
    }
    let mut found = Vec::new();
    for ((_camera, serial, _size, dated, _folder), members) in by_camera {
        if dated {
            let bodies = if serial.is_some() { vec![members] } else { bodies(frames, times, members) };
            let by_folder = bodies.len() > 1;
            let streams = bodies.into_iter().map(|body| dated_stream(frames, times, body));
            found.extend(streams.map(|stream| Stream { by_folder, ..stream }));
        } else {
            found.push(undated_stream(frames, members));
        }
    }
    found
}

fn bodies(frames: &[&MeasuredFrame], times: &[Option<FrameTime>], members: Vec<usize>) -> Vec<Vec<usize>> {
    let mut by_folder: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for index in &members {
        by_folder.entry(names::folder(&frames[*index].name)).or_default().push(*index);
    }
    let mut spans: Vec<(f64, f64)> = by_folder
        .values()
        .map(|indices| {
            let at = indices.iter().filter_map(|index| times[*index]).map(|time| time.at_s);
            at.fold((f64::INFINITY, f64::NEG_INFINITY), |(first, last), at| (first.min(at), last.max(at)))
        })
        .collect();
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    let interleave = spans.windows(2).any(|pair| pair[1].0 < pair[0].1);
    if interleave { by_folder.into_values().collect() } else { vec![members] }
}

fn dated_stream(frames: &[&MeasuredFrame], times: &[Option<FrameTime>], mut members: Vec<usize>) -> Stream {
    let at = |index: usize| times[index].map_or(0.0, |time| time.at_s);
    members.sort_by(|a, b| at(*a).total_cmp(&at(*b)).then_with(|| names::natural(&frames[*a].name, &frames[*b].name)));
    let steps_s: Vec<f64> = members.windows(2).map(|pair| at(pair[1]) - at(pair[0])).collect();
    let (turns, elsewhere) = turns(frames, &members, &steps_s);
    let pauses = pauses(frames, &members, &steps_s);
    Stream { frames: members, steps_s, turns, pauses, elsewhere, by_folder: false }
}

fn undated_stream(frames: &[&MeasuredFrame], mut members: Vec<usize>) -> Stream {
    members.sort_by(|a, b| names::natural(&frames[*a].name, &frames[*b].name));
    let count = members.len().saturating_sub(1);
    let (turns, elsewhere) = turns(frames, &members, &vec![0.0; count]);
    Stream { frames: members, steps_s: Vec::new(), turns, pauses: vec![false; count], elsewhere, by_folder: false }
}

/// What happened between neighbours; a single odd frame (a lamp, a hand) is no turn of the camera. Beside it, the places of
/// odd frames that did look elsewhere.
fn turns(frames: &[&MeasuredFrame], members: &[usize], steps_s: &[f64]) -> (Vec<Step>, Vec<usize>) {
    let is_solved = |place: usize| frames[members[place]].report.lens.as_ref().is_some_and(|lens| lens.solved);
    let mut elsewhere = Vec::new();
    let compare = |a: usize, b: usize, after_s: f64| step(frames[members[a]], frames[members[b]], after_s);
    let mut found: Vec<Step> =
        steps_s.iter().enumerate().map(|(place, after_s)| compare(place, place + 1, *after_s)).collect();
    for place in 1..found.len() {
        let both = found[place - 1] != Step::Still && found[place] != Step::Still;
        if both && compare(place - 1, place + 1, steps_s[place - 1] + steps_s[place]) == Step::Still {
            (found[place - 1], found[place]) = (Step::Still, Step::Still);
            // light alone may be a lamp's
            if (place - 1..=place + 1).all(is_solved) {
                elsewhere.push(place);
            }
        }
    }
    (found, elsewhere)
}

fn pauses(frames: &[&MeasuredFrame], members: &[usize], steps_s: &[f64]) -> Vec<bool> {
    let exposure_s = |index: usize| frames[index].report.settings.exposure_s.unwrap_or(0.0);
    steps_s
        .iter()
        .enumerate()
        .map(|(place, step_s)| {
            let around = place.saturating_sub(PAUSE_REACH)..(place + PAUSE_REACH + 1).min(steps_s.len());
            let typical_s = median(steps_s[around].iter().copied()).unwrap_or(0.0);
            step_s - exposure_s(members[place]) > LONG_PAUSE.0.max(LONG_PAUSE.1 * typical_s)
        })
        .collect()
}
