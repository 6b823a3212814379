//! Time-lapses, bursts, panoramas and focus series among the frames of one camera.

use std::ops::Range;

use super::measures;
use super::pointing::Step;
use super::report::SequenceKind;
use super::request::MeasuredFrame;
use super::spread::median;
use super::streams::Stream;

/// Frames that make a time-lapse, a burst, a panorama, a focus series.
const LEAST_LAPSE: usize = 10;
const LEAST_BURST: usize = 3;
const LEAST_PANORAMA: usize = 3;
const LEAST_FOCUS: usize = 4;
/// Focus series are turned by hand: more frames than these are a lapse whose focus drifts.
const MOST_FOCUS: usize = 30;
/// Pause within a burst, s, from the end of one exposure to the start of the next.
const BURST_PAUSE_S: f64 = 2.0;
/// How far intervals of a time-lapse differ: a second because EXIF counts whole ones, or a tenth.
const UNEVEN: (f64, f64) = (1.05, 0.1);
/// Intervals at a place from which the even one is taken.
const EVEN_FROM: usize = 9;
/// Frames of a lapse that may be missing in a row.
const MOST_MISSING: u32 = 3;
/// Shares of the field by which panorama frames step: with overlap, and more than a nudge.
const PANORAMA_STEP: (f64, f64) = (0.1, 0.9);
/// Change of width that a turn of the focus ring makes at each step, and over the series: noise of a width is a twentieth.
const FOCUS_CHANGE: (f64, f64) = (1.1, 1.5);
/// Longest time between loose frames that are listed together, s.
const LOOSE_TOGETHER_S: f64 = 1800.0;

/// Part of a stream.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Part {
    pub(super) kind: SequenceKind,
    /// Indices of the frames, in order.
    pub(super) frames: Vec<usize>,
    /// Median time from start to start, s.
    pub(super) interval_s: Option<f64>,
}

/// Cuts a stream into parts; every frame is in exactly one.
pub(super) fn parts(frames: &[&MeasuredFrame], stream: &Stream) -> Vec<Part> {
    let mut kinds: Vec<Option<(SequenceKind, usize)>> = vec![None; stream.frames.len()];
    let mut number = 0;
    let mut mark = |kinds: &mut Vec<Option<(SequenceKind, usize)>>, range: Range<usize>, kind| {
        number += 1;
        kinds[range].fill(Some((kind, number)));
    };
    for range in panoramas(frames, stream) {
        mark(&mut kinds, range, SequenceKind::Panorama);
    }
    for setup in stream.setups() {
        for free in free_runs(&kinds, setup.clone()) {
            for range in focus_series(frames, stream, free) {
                mark(&mut kinds, range, SequenceKind::FocusSeries);
            }
        }
        for free in free_runs(&kinds, setup.clone()) {
            for range in lapses(frames, stream, free) {
                mark(&mut kinds, range, SequenceKind::TimeLapse);
            }
        }
        for free in free_runs(&kinds, setup) {
            for range in bursts(frames, stream, free) {
                mark(&mut kinds, range, SequenceKind::Burst);
            }
        }
    }
    gathered(stream, &kinds)
}

/// Runs of frames within a range that belong to nothing yet.
fn free_runs(kinds: &[Option<(SequenceKind, usize)>], range: Range<usize>) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut first = None;
    let frees = kinds[range.clone()].iter().map(Option::is_none).chain([false]);
    for (place, is_free) in (range.start..).zip(frees) {
        match (first, is_free) {
            (None, true) => first = Some(place),
            (Some(start), false) => {
                found.push(start..place);
                first = None;
            }
            _ => {}
        }
    }
    found
}

fn gathered(stream: &Stream, kinds: &[Option<(SequenceKind, usize)>]) -> Vec<Part> {
    let mut found: Vec<Part> = Vec::new();
    let mut last: Option<(SequenceKind, usize)> = None;
    let mut steps: Vec<f64> = Vec::new();
    for (place, kind) in kinds.iter().enumerate() {
        let here = kind.unwrap_or((SequenceKind::Loose, 0));
        let step_s = place.checked_sub(1).and_then(|before| stream.steps_s.get(before).copied());
        let far = here.0 == SequenceKind::Loose && step_s.is_some_and(|step_s| step_s > LOOSE_TOGETHER_S);
        if last != Some(here) || far {
            finish(&mut found, &mut steps);
            found.push(Part { kind: here.0, frames: Vec::new(), interval_s: None });
        } else {
            steps.extend(step_s);
        }
        last = Some(here);
        if let Some(part) = found.last_mut() {
            part.frames.push(stream.frames[place]);
        }
    }
    finish(&mut found, &mut steps);
    found
}

fn finish(found: &mut [Part], steps: &mut Vec<f64>) {
    if let Some(part) = found.last_mut() {
        part.interval_s = median(steps.drain(..));
    }
    steps.clear();
}

/// Runs in which the camera is turned by part of the field from frame to frame, without a long pause, with one setting.
fn panoramas(frames: &[&MeasuredFrame], stream: &Stream) -> Vec<Range<usize>> {
    let is_step = |place: usize| {
        let turned = matches!(stream.turns[place],
            Step::Turned { share: Some(share) } if share >= PANORAMA_STEP.0 && share <= PANORAMA_STEP.1);
        turned && !stream.pauses[place] && same_setting(frames[stream.frames[place]], frames[stream.frames[place + 1]])
    };
    runs(0..stream.frames.len(), is_step).into_iter().filter(|range| range.len() >= LEAST_PANORAMA).collect()
}

fn same_setting(a: &MeasuredFrame, b: &MeasuredFrame) -> bool {
    let (a, b) = (&a.report.settings, &b.report.settings);
    let same = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= 0.02 * a.abs().max(b.abs()),
        (None, None) => true,
        _ => false,
    };
    same(a.exposure_s, b.exposure_s)
        && same(a.iso, b.iso)
        && same(a.f_number, b.f_number)
        && same(a.focal_mm, b.focal_mm)
}

/// Maximal runs of frames whose every step fits.
fn runs(range: Range<usize>, fits: impl Fn(usize) -> bool) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut first = range.start;
    for place in range.clone() {
        let goes_on = place + 1 < range.end && fits(place);
        if !goes_on {
            found.push(first..place + 1);
            first = place + 1;
        }
    }
    found
}

/// Runs whose stars change their width at every step, down and then up at most once.
fn focus_series(frames: &[&MeasuredFrame], stream: &Stream, range: Range<usize>) -> Vec<Range<usize>> {
    let width = |place: usize| measures::hfd_px(&frames[stream.frames[place]].report);
    let change = |place: usize| Some(width(place + 1)? / width(place)?);
    let mut found = Vec::new();
    let mut first = range.start;
    while first < range.end {
        let mut end = first + 1;
        let mut rises = false;
        while end < range.end {
            let Some(ratio) = change(end - 1) else { break };
            let turned = ratio.max(ratio.recip()) >= FOCUS_CHANGE.0;
            if !turned || (rises && ratio < 1.0) {
                break;
            }
            rises |= ratio > 1.0;
            end += 1;
        }
        let widths = (first..end).filter_map(width);
        let (least, most) = widths.fold((f64::INFINITY, 0.0f64), |(least, most), w| (least.min(w), most.max(w)));
        if (LEAST_FOCUS..=MOST_FOCUS).contains(&(end - first)) && most >= FOCUS_CHANGE.1 * least {
            found.push(first..end);
            first = end;
        } else {
            first += 1;
        }
    }
    found
}

/// Runs at an even interval.
fn lapses(frames: &[&MeasuredFrame], stream: &Stream, range: Range<usize>) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut first = range.start;
    while first + LEAST_LAPSE <= range.end {
        let steps = stream.steps_s.get(first..range.end - 1).unwrap_or_default();
        let even_s = median(steps.iter().copied().take(EVEN_FROM)).unwrap_or(0.0);
        let slack_s = UNEVEN.0.max(UNEVEN.1 * even_s);
        let is_even =
            |step_s: f64| (1..=MOST_MISSING + 1).any(|missing| (step_s - f64::from(missing) * even_s).abs() <= slack_s);
        // a copy stands beside its original and is no frame of its own
        let is_copy =
            |place: usize| frames[stream.frames[place]].content_hash == frames[stream.frames[place + 1]].content_hash;
        let fits = |(place, step_s): &(usize, &f64)| is_even(**step_s) || is_copy(*place);
        let count = 1 + (first..).zip(steps).take_while(fits).count();
        if count >= LEAST_LAPSE && even_s >= BURST_PAUSE_S {
            found.push(first..first + count);
            first += count;
        } else {
            first += 1;
        }
    }
    found
}

fn bursts(frames: &[&MeasuredFrame], stream: &Stream, range: Range<usize>) -> Vec<Range<usize>> {
    let follows = |place: usize| {
        let exposure_s = frames[stream.frames[place]].report.settings.exposure_s.unwrap_or(0.0);
        stream.steps_s.get(place).is_some_and(|step_s| step_s - exposure_s < BURST_PAUSE_S)
    };
    runs(range, follows).into_iter().filter(|range| range.len() >= LEAST_BURST).collect()
}
