//! What a camera's clock must be corrected by: as given, or as the stars over a level camera say.

use quantity::{Basis, Estimate, GeoPosition, Timestamp};
use sky::ObserverSky;

use super::pointing::SKY_TURN_DEG_PER_S;
use super::request::{ClockCorrection, MeasuredFrame};
use super::spread::{median, sigma};
use super::times::FrameTime;
use crate::CheckedLens;

/// How level people set up a camera, degrees (judgement: a bubble level shows one degree).
const LEVEL_SIGMA_DEG: f64 = 1.5;
/// Longest error looked for, s: a wrong summer time or zone. Farther off, another direction of the sky is as level.
const LONGEST_S: f64 = 3.0 * 3600.0;
/// Step of the search, s: the sky turns by 2.5 degrees.
const STEP_S: f64 = 600.0;
/// Altitudes of the middle at which "level" means something, degrees.
const ALTITUDES_DEG: (f64, f64) = (-5.0, 70.0);
/// Least change of tilt with time, degrees per degree of the sky's turn: less tells no time.
const LEAST_SLOPE: f64 = 0.2;
/// Set-ups asked at most, and errors of one by which they may differ.
const MOST_SETUPS: usize = 16;
const AGREE_SIGMA: f64 = 3.0;
/// Correction from which it is worth a word, in its own errors.
pub(super) const WORTH_SIGMA: f64 = 3.0;

/// The correction given for a camera; the one that names it before the one for all.
pub(super) fn given(corrections: &[ClockCorrection], camera: &str) -> Option<f64> {
    let named = |correction: &&ClockCorrection| {
        let part = correction.camera.as_deref().unwrap_or_default();
        !part.is_empty() && camera.to_lowercase().contains(&part.to_lowercase())
    };
    let for_all = |correction: &&ClockCorrection| correction.camera.as_deref().unwrap_or_default().is_empty();
    let found = corrections.iter().find(named).or_else(|| corrections.iter().find(for_all));
    found.map(|correction| correction.seconds)
}

/// What the clock must be corrected by, s, if the cameras stood level: then the pictures' up points to the zenith.
///
/// * `setups`: indices of one solved frame of each pointing.
///
/// `None` where no frame is solved, times are not UTC, the answers differ, or the turn of the sky hardly changes the tilt.
pub(super) fn by_stars(
    frames: &[&MeasuredFrame],
    times: &[Option<FrameTime>],
    setups: &[usize],
    position: GeoPosition,
) -> Option<Estimate> {
    let answers: Vec<(f64, f64)> = setups
        .iter()
        .filter_map(|index| {
            let lens = frames[*index].report.lens.as_ref().filter(|lens| lens.solved)?;
            level_at(lens, times[*index].filter(|time| time.is_utc)?, position)
        })
        .take(MOST_SETUPS)
        .collect();
    let value = median(answers.iter().map(|answer| answer.0))?;
    let one = median(answers.iter().map(|answer| answer.1))?;
    let scatter = sigma(&answers.iter().map(|answer| answer.0).collect::<Vec<_>>())?;
    if scatter > AGREE_SIGMA * one {
        return None;
    }
    Some(Estimate::symmetric(value, one.max(scatter) / (answers.len() as f64).sqrt(), Basis::Model))
}

/// The correction at which a picture is level, and its error, s.
fn level_at(lens: &CheckedLens, time: FrameTime, position: GeoPosition) -> Option<(f64, f64)> {
    if lens.mirrored == Some(true) {
        return None;
    }
    let middle = [lens.ra_deg?, lens.dec_deg?];
    let roll_deg = lens.roll_deg?;
    #[expect(clippy::cast_possible_truncation, reason = "seconds of a date; out of range is refused below")]
    let at = Timestamp::from_millisecond((1000.0 * time.at_s) as i64).ok()?;
    let sky = ObserverSky::new(at, position).ok()?;
    let tilt = |offset_s: f64| tilt_deg(&sky, middle, roll_deg, offset_s);
    let steps = (LONGEST_S / STEP_S).round();
    let mut nearest: Option<(f64, f64)> = None;
    let mut step = -steps;
    while step < steps {
        let (from_s, to_s) = (step * STEP_S, (step + 1.0) * STEP_S);
        step += 1.0;
        let (Some(from), Some(to)) = (tilt(from_s), tilt(to_s)) else { continue };
        // a jump by 90 degrees is the other way up, not a level
        if from * to > 0.0 || (from - to).abs() > 45.0 || from.to_bits() == to.to_bits() {
            continue;
        }
        let slope = (to - from) / STEP_S;
        let offset_s = from_s - from / slope;
        let is_nearer = nearest.is_none_or(|(other, _error)| offset_s.abs() < other.abs());
        if is_nearer && slope.abs() > LEAST_SLOPE * SKY_TURN_DEG_PER_S {
            nearest = Some((offset_s, LEVEL_SIGMA_DEG / slope.abs()));
        }
    }
    nearest
}

/// Angle between the picture's sides and the vertical, -45 to 45 degrees, at a later time; `None` too high or too low.
fn tilt_deg(sky: &ObserverSky, [ra_deg, dec_deg]: [f64; 2], roll_deg: f64, later_s: f64) -> Option<f64> {
    /// A small step along the picture's up, degrees.
    const NUDGE_DEG: f64 = 0.05;
    let ra_deg = ra_deg - SKY_TURN_DEG_PER_S * later_s;
    let (sin, cos) = roll_deg.to_radians().sin_cos();
    let here = sky.icrs(ra_deg, dec_deg);
    let up = sky.icrs(ra_deg + NUDGE_DEG * sin / dec_deg.to_radians().cos().max(1e-3), dec_deg + NUDGE_DEG * cos);
    let altitude = here.altitude_deg;
    if altitude < ALTITUDES_DEG.0 || altitude > ALTITUDES_DEG.1 {
        return None;
    }
    let across = (up.azimuth_deg - here.azimuth_deg + 180.0).rem_euclid(360.0) - 180.0;
    let angle = (across * altitude.to_radians().cos()).atan2(up.altitude_deg - altitude).to_degrees();
    Some((angle + 45.0).rem_euclid(90.0) - 45.0)
}
