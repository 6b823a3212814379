//! Whether the camera was turned between two frames.

use super::request::MeasuredFrame;
use crate::CheckedLens;

/// How far the sky turns in a second, degrees (one turn in a sidereal day of 86 164.1 s).
pub(super) const SKY_TURN_DEG_PER_S: f64 = 360.0 / 86_164.1;
/// Part of the field by which the middle may wander without anybody having turned the camera: wind, a settling leg.
const WANDER_SHARE: f64 = 0.05;
/// Correlation of two patterns of light above which the camera stood still: a changing aurora leaves the horizon.
const STILL_CORRELATION: f64 = 0.8;
/// Correlation under which two pictures show different things.
const OTHER_CORRELATION: f64 = 0.4;
/// Correlation that a shift must reach, and by how much it must beat no shift.
const SHIFTED_CORRELATION: (f64, f64) = (0.8, 0.3);
/// Cells that a shift has at least and at most.
const SHIFT_CELLS: (usize, usize) = (2, 12);

/// What happened between two frames.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Step {
    /// Nothing.
    Still,
    /// The camera was turned by this share of the field, where that is known.
    Turned { share: Option<f64> },
}

/// Compares two frames, `later` taken `after_s` after `earlier` (0 where times are not known).
pub(super) fn step(earlier: &MeasuredFrame, later: &MeasuredFrame, after_s: f64) -> Step {
    let solved = |frame: &MeasuredFrame| frame.report.lens.clone().filter(|lens| lens.solved);
    if let (Some(a), Some(b)) = (solved(earlier), solved(later))
        && let Some(step) = by_lens(&a, &b, after_s)
    {
        return step;
    }
    by_light(earlier, later)
}

fn by_lens(earlier: &CheckedLens, later: &CheckedLens, after_s: f64) -> Option<Step> {
    let direction = |lens: &CheckedLens, turned_deg: f64| -> Option<[f64; 3]> {
        let (ra, dec) = ((lens.ra_deg? - turned_deg).to_radians(), lens.dec_deg?.to_radians());
        Some([dec.cos() * ra.cos(), dec.cos() * ra.sin(), dec.sin()])
    };
    let a = direction(earlier, 0.0)?;
    // a camera that stands still looks at greater right ascensions as time goes by
    let b = direction(later, SKY_TURN_DEG_PER_S * after_s)?;
    let cosine: f64 = a.iter().zip(&b).map(|(a, b)| a * b).sum();
    let apart_deg = cosine.clamp(-1.0, 1.0).acos().to_degrees();
    let field_deg = earlier.field_deg?.iter().copied().fold(f64::INFINITY, f64::min);
    let share = apart_deg / field_deg.max(1e-3);
    Some(if share > WANDER_SHARE { Step::Turned { share: Some(share) } } else { Step::Still })
}

fn by_light(earlier: &MeasuredFrame, later: &MeasuredFrame) -> Step {
    let (Some(a), Some(b)) = (&earlier.signature, &later.signature) else { return Step::Still };
    // an even picture tells nothing
    let Some(at_rest) = a.correlation(b) else { return Step::Still };
    if at_rest >= STILL_CORRELATION {
        return Step::Still;
    }
    let shifted = a.shift(b, SHIFT_CELLS.1).filter(|shift| {
        shift.cells >= SHIFT_CELLS.0
            && shift.fit >= SHIFTED_CORRELATION.0
            && shift.fit > shift.at_rest + SHIFTED_CORRELATION.1
    });
    match shifted {
        Some(shift) => Step::Turned { share: Some(shift.cells as f64 / super::signature::SIDE as f64) },
        None if at_rest < OTHER_CORRELATION => Step::Turned { share: None },
        None => Step::Still,
    }
}
