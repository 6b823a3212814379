//! Azimuths at which the skyline is not known.

use quantity::wrap_degrees_360;
use serde::Serialize;

/// Why a stretch of the skyline is not known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum UnknownCause {
    /// The tile has no heights there.
    Void,
    /// There is no tile.
    MissingTile,
}

/// A stretch of azimuths, clockwise, where the skyline may be higher than given.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct UnknownStretch {
    /// First azimuth, degrees.
    pub from_deg: f64,
    /// Last azimuth, degrees.
    pub to_deg: f64,
    /// Why.
    pub cause: UnknownCause,
}

/// Neighbouring azimuths of one cause, joined across north.
pub(super) fn stretches(causes: &[Option<UnknownCause>]) -> Vec<UnknownStretch> {
    let count = causes.len();
    let half = 180.0 / count as f64;
    let centre = |index: usize| index as f64 * 360.0 / count as f64;
    let begins = (0..count).find(|&i| causes[i] != causes[(i + count - 1) % count]);
    let Some(start) = begins else {
        // all alike: all around or nowhere
        let all = causes.first().copied().flatten();
        return all.map(|cause| UnknownStretch { from_deg: 0.0, to_deg: 360.0, cause }).into_iter().collect();
    };
    let mut found: Vec<UnknownStretch> = Vec::new();
    let mut last = None;
    for index in (start..start + count).map(|i| i % count) {
        let to_deg = wrap_degrees_360(centre(index) + half);
        match (causes[index], found.last_mut()) {
            (Some(cause), Some(stretch)) if last == Some(cause) => stretch.to_deg = to_deg,
            (Some(cause), _) => {
                let from_deg = wrap_degrees_360(centre(index) - half);
                found.push(UnknownStretch { from_deg, to_deg, cause });
            }
            (None, _) => {}
        }
        last = causes[index];
    }
    found.sort_by(|a, b| a.from_deg.total_cmp(&b.from_deg));
    found
}
