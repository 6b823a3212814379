//! The curve of a magnetogram beside frames, thin enough for a page.

use jiff::SignedDuration;
use quantity::Timestamp;
use sequence::MagneticRecord;

use super::magnetic::BESIDE;
use super::report::MagneticPoint;

/// Points at most; beyond, each is the median of its piece, which a lone sample does not move.
const MOST_POINTS: usize = 720;

/// The northward component around the frames as the file has it, spikes included; a gap has no value.
pub(super) fn trace(record: &MagneticRecord, first: Timestamp, last: Timestamp) -> Vec<MagneticPoint> {
    let Some((_, values)) = record.northward() else { return Vec::new() };
    let (from, to) = (first.saturating_sub(BESIDE).unwrap_or(first), last.saturating_add(BESIDE).unwrap_or(last));
    let steps = record.steps_between(from, to);
    let piece = steps.len().div_ceil(MOST_POINTS).max(1);
    let mut points = Vec::new();
    for begin in steps.clone().step_by(piece) {
        let end = (begin + piece).min(steps.end);
        let mut found: Vec<f64> = values.get(begin..end).unwrap_or_default().iter().flatten().copied().collect();
        found.sort_by(f64::total_cmp);
        let middle_s = record.cadence_s * 0.5 * ((begin + end) as f64 - 1.0);
        let after = SignedDuration::try_from_secs_f64(middle_s).ok();
        let at = after.and_then(|after| record.start.checked_add(after).ok());
        points.extend(at.map(|at| MagneticPoint { at, north_nt: found.get(found.len() / 2).copied() }));
    }
    points
}
