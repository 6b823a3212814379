use aurora::diffuse_border_deg;
use quantity::Timestamp;
use serde::Serialize;

use super::record::{MagneticRecord, time_after};
use super::station::Station;

/// The criterion of Newell & Gjerloev for the onset of a substorm in a series of one-minute values `S`.
///
/// Onset is at `t0` where `S1 - S0`, `S2 - S0` and `S3 - S0` fall below three limits and the mean of `S4` to `S29` lies below `S0` by
/// a fourth. The next 20 minutes are then passed over.
///
/// # Source
///
/// P. T. Newell & J. W. Gjerloev, *J. Geophys. Res.* 116, A12211 (2011), made for the index SML of many stations; the four numbers
/// from memory. For one station see [`OnsetStanding`].
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct OnsetCriterion {
    /// Fall after one, two and three minutes, nT.
    pub falls_nt: [f64; 3],
    /// Fall of the mean of minutes 4 to 29, nT.
    pub mean_fall_nt: f64,
}

impl OnsetCriterion {
    /// As published for the index.
    pub const PUBLISHED: Self = Self { falls_nt: [15.0, 30.0, 45.0], mean_fall_nt: 100.0 };
    /// Halved, for a station away from the current (our rule).
    pub const HALVED: Self = Self { falls_nt: [7.5, 15.0, 22.5], mean_fall_nt: 50.0 };
}

/// Minutes of the mean that must be there, of 26: what is missing may hold a quarter.
const LEAST_OF_MEAN: usize = 20;
/// Minutes passed over after an onset.
const SKIPPED_MINUTES: usize = 20;
/// Night hours in which a fall toward south at one station is likely an onset near it, magnetic local time.
const NIGHT_FROM_H: f64 = 20.0;
/// End of those hours.
const NIGHT_TO_H: f64 = 4.0;
/// Distance from the equatorward border of the oval within which a station stands under the current, degrees (our rule).
const NEAR_BORDER_DEG: f64 = 5.0;
/// Distance from the middle of the oval beyond which the limits are halved, degrees (our rule).
const OFF_CURRENT_DEG: f64 = 3.0;
/// Magnetic latitudes where the oval of some activity passes, degrees.
const OVAL_DEG: [f64; 2] = [55.0, 75.0];
/// Longest time in which the deepest point of an onset's bay is looked for, minutes: recovery takes one to two hours (from memory).
const BAY_MINUTES: usize = 180;

/// How far one station can be believed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum OnsetStanding {
    /// By the published limits, in the night hours, under the oval.
    Likely,
    /// By halved limits, at other hours, off the oval, or from a station whose place is not known.
    Possible,
}

/// A substorm onset at one station.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Onset {
    /// The last minute before the fall.
    pub at: Timestamp,
    /// How far it can be believed.
    pub standing: OnsetStanding,
    /// Fall of the mean of minutes 4 to 29, nT.
    pub mean_fall_nt: f64,
    /// Fall to the deepest minute before the next onset, in three hours at most, nT.
    pub depth_nt: f64,
    /// The deepest minute.
    pub deepest_at: Timestamp,
    /// Minutes from the onset until half of the depth is made good; none within the record or before the next onset.
    pub half_recovered_minutes: Option<f64>,
    /// Magnetic local time of the station, hours; none where its place is not known.
    pub mlt_h: Option<f64>,
}

/// Onsets, and the minutes that could not be tried because of gaps.
pub(super) struct Found {
    pub(super) onsets: Vec<Onset>,
    pub(super) untried_minutes: usize,
}

/// Looks through a series of minutes.
pub(super) fn onsets(record: &MagneticRecord, minutes_nt: &[f64], station: Option<&Station>, kp: Option<f64>) -> Found {
    let off_current = |at: Timestamp| {
        let (station, kp) = station.zip(kp)?;
        let border_deg = diffuse_border_deg(kp, station.mlt_h(at));
        Some(station.place.magnetic_latitude_deg.abs() - border_deg)
    };
    let mut found: Vec<(usize, Timestamp, OnsetStanding, f64)> = Vec::new();
    let mut untried_minutes = 0;
    let mut minute = 0;
    while minute + 30 <= minutes_nt.len() {
        let Some(at) = time_after(record.start, minute as f64 * 60.0) else { break };
        match falls(&minutes_nt[minute..minute + 30]) {
            None => untried_minutes += 1,
            Some((falls_nt, mean_fall_nt)) => {
                let meets = |criterion: OnsetCriterion| {
                    mean_fall_nt > criterion.mean_fall_nt
                        && falls_nt.iter().zip(criterion.falls_nt).all(|(fall, least)| *fall > least)
                };
                let standing = if meets(OnsetCriterion::PUBLISHED) {
                    Some(standing(at, station, off_current(at)))
                } else {
                    // the oval is some 5 degrees wide: its middle lies half of that poleward of its border
                    let halved = off_current(at).is_some_and(|off_deg| (off_deg - 2.5).abs() > OFF_CURRENT_DEG);
                    (halved && meets(OnsetCriterion::HALVED)).then_some(OnsetStanding::Possible)
                };
                if let Some(standing) = standing {
                    found.push((minute, at, standing, mean_fall_nt));
                    minute += SKIPPED_MINUTES;
                }
            }
        }
        minute += 1;
    }
    let ends: Vec<usize> = found.iter().skip(1).map(|next| next.0).chain([minutes_nt.len()]).collect();
    let onsets = found
        .iter()
        .zip(ends)
        .filter_map(|(&(minute, at, standing, mean_fall_nt), end)| {
            let until = end.min(minute + BAY_MINUTES).min(minutes_nt.len());
            let course = &minutes_nt[minute..until];
            let (deepest, low_nt) = course
                .iter()
                .copied()
                .enumerate()
                .filter(|(_, value)| value.is_finite())
                .min_by(|a, b| a.1.total_cmp(&b.1))?;
            let depth_nt = course[0] - low_nt;
            let half_nt = low_nt + depth_nt / 2.0;
            let recovered = (deepest..course.len()).find(|index| course[*index] > half_nt);
            Some(Onset {
                at,
                standing,
                mean_fall_nt,
                depth_nt,
                deepest_at: time_after(at, deepest as f64 * 60.0)?,
                half_recovered_minutes: recovered.map(|index| index as f64),
                mlt_h: station.map(|station| station.mlt_h(at)),
            })
        })
        .collect();
    Found { onsets, untried_minutes }
}

/// Falls after 1, 2 and 3 minutes and of the mean after, nT; none where too much is missing.
fn falls(window_nt: &[f64]) -> Option<([f64; 3], f64)> {
    let start_nt = window_nt[0];
    let falls_nt = [1, 2, 3].map(|minute| start_nt - window_nt[minute]);
    let later: Vec<f64> = window_nt[4..].iter().copied().filter(|value| value.is_finite()).collect();
    if !falls_nt.iter().all(|fall| fall.is_finite()) || later.len() < LEAST_OF_MEAN {
        return None;
    }
    Some((falls_nt, start_nt - later.iter().sum::<f64>() / later.len() as f64))
}

/// * `off_deg`: how far poleward of the oval's equatorward border the station stands, where the activity is known.
fn standing(at: Timestamp, station: Option<&Station>, off_deg: Option<f64>) -> OnsetStanding {
    let Some(station) = station else { return OnsetStanding::Possible };
    let mlt_h = station.mlt_h(at);
    let at_night = !(NIGHT_TO_H..NIGHT_FROM_H).contains(&mlt_h);
    let latitude_deg = station.place.magnetic_latitude_deg.abs();
    let under_oval = match off_deg {
        Some(off_deg) => off_deg.abs() <= NEAR_BORDER_DEG,
        None => (OVAL_DEG[0]..=OVAL_DEG[1]).contains(&latitude_deg),
    };
    if at_night && under_oval { OnsetStanding::Likely } else { OnsetStanding::Possible }
}
