//! The stretches of a night worth standing outside.

use quantity::Timestamp;

use super::{Chances, OutlookStep, WatchWindow};
use crate::DarknessClass;

/// A step belongs to a window while its score is at least this share of the night's best.
const SHARE_OF_BEST: f64 = 0.8;
/// Least score of a window: below it nobody should be sent outside for it.
const LEAST_SCORE: f64 = 0.08;
/// What a camera's chance is worth against an eye's.
const CAMERA_WEIGHT: f64 = 0.4;

/// How much a moment is worth going out for: the eye's chance first, then the camera's.
pub(super) fn score(chances: &Chances) -> f64 {
    chances.eye_sees.value().max(CAMERA_WEIGHT * chances.camera_records.value())
}

/// Index of the step most worth going out for, if any has chances.
pub fn best_step(steps: &[OutlookStep]) -> Option<usize> {
    let scored = |step: &OutlookStep| step.chances.as_ref().map_or(-1.0, score);
    (0..steps.len())
        .filter(|&i| steps[i].chances.is_some())
        .max_by(|&a, &b| scored(&steps[a]).total_cmp(&scored(&steps[b])))
}

/// Windows, best first.
pub(super) fn windows(steps: &[OutlookStep]) -> Vec<WatchWindow> {
    let Some(best) = best_step(steps) else { return Vec::new() };
    let threshold = (SHARE_OF_BEST * steps[best].chances.as_ref().map_or(0.0, score)).max(LEAST_SCORE);
    let inside = |step: &OutlookStep| step.chances.as_ref().is_some_and(|c| score(c) >= threshold);
    let mut windows = Vec::new();
    let mut from = 0;
    while from < steps.len() {
        if !inside(&steps[from]) {
            from += 1;
            continue;
        }
        let length = steps[from..].iter().take_while(|step| inside(step)).count();
        windows.push(window(steps, from, from + length - 1));
        from += length;
    }
    windows.sort_by(|a, b| score(&b.chances).total_cmp(&score(&a.chances)));
    windows
}

fn window(steps: &[OutlookStep], first: usize, last: usize) -> WatchWindow {
    let best = first + best_step(&steps[first..=last]).unwrap_or(0);
    WatchWindow {
        from: steps[first].at,
        to: end_of(steps, last),
        best_at: steps[best].at,
        chances: steps[best].chances.unwrap_or(Chances::NONE),
        reason: reason(&steps[best]),
    }
}

/// A step stands for the time up to the next one.
fn end_of(steps: &[OutlookStep], last: usize) -> Timestamp {
    steps.get(last + 1).map_or(steps[last].at, |next| next.at)
}

fn reason(step: &OutlookStep) -> String {
    let dark = match step.darkness {
        DarknessClass::Dark => "dark",
        DarknessClass::Astronomical => "astronomical twilight",
        DarknessClass::Nautical => "nautical twilight",
        DarknessClass::Civil => "civil twilight",
        DarknessClass::Day => "daylight",
    };
    let moon = if step.moon_altitude_deg < 0.0 {
        "moon down"
    } else if step.moon_lit_fraction < 0.25 {
        "thin moon"
    } else {
        "moonlit"
    };
    let oval = match step.mlt_h {
        h if !(2.0..22.0).contains(&h) => "near magnetic midnight",
        h if h < 12.0 => "morning side of the oval",
        _ => "evening side of the oval",
    };
    format!("{dark}, {moon}, {oval}")
}
