//! When each frame was taken, on one axis, before any correction of a clock.

use jiff::civil::DateTime;

use super::request::{MeasuredFrame, SortRequest};

/// When a frame was taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct FrameTime {
    /// Seconds of UTC since 1970, or of the camera's clock where its distance from UTC is not known.
    pub(super) at_s: f64,
    /// Whether these are seconds of UTC.
    pub(super) is_utc: bool,
}

/// The time of each frame; `None` where its file names none.
///
/// A clock without a zone is taken to stand where the request says, or where most of the night's other clocks stand.
pub(super) fn times(request: &SortRequest, frames: &[&MeasuredFrame]) -> Vec<Option<FrameTime>> {
    let offset_s = request.utc_offset_s.or_else(|| usual_offset(frames));
    frames.iter().map(|frame| time(frame, offset_s)).collect()
}

fn usual_offset(frames: &[&MeasuredFrame]) -> Option<i32> {
    let mut offsets: Vec<i32> =
        frames.iter().filter_map(|frame| frame.report.taken.as_ref().and_then(|taken| taken.utc_offset_s)).collect();
    offsets.sort_unstable();
    let runs = offsets.chunk_by(|a, b| a == b);
    runs.max_by_key(|run| run.len()).and_then(|run| run.first().copied())
}

fn time(frame: &MeasuredFrame, offset_s: Option<i32>) -> Option<FrameTime> {
    let taken = frame.report.taken.as_ref()?;
    if let Some(utc) = taken.utc {
        return Some(FrameTime { at_s: utc.as_duration().as_secs_f64(), is_utc: true });
    }
    let local: DateTime = taken.local.as_deref()?.parse().ok()?;
    let as_utc = local.to_zoned_datetime(jiff::tz::TimeZone::UTC).ok()?.timestamp().as_duration().as_secs_f64();
    Some(match offset_s {
        Some(offset) => FrameTime { at_s: as_utc - f64::from(offset), is_utc: true },
        None => FrameTime { at_s: as_utc, is_utc: false },
    })
}
