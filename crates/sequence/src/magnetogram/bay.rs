use quantity::Timestamp;
use serde::Serialize;

use super::cleaning::{MagneticSpike, MagneticStep, cleaned, minutes_nt};
use super::onset::{Onset, onsets};
use super::record::{MagneticElement, MagneticRecord};
use super::station::{Station, StationPlace};
use crate::SequenceError;
use crate::robust::{exceeds, median};

/// Two stretches less than this apart are one bay, s.
const JOINED_S: f64 = 300.0;
/// Shortest bay, s: substorm bays last tens of minutes; pulsations of the field have periods of up to ten.
const SHORTEST_S: f64 = 300.0;
/// A record of so many hours has its quiet level as its median, unless most of it is disturbed.
const DAY_H: f64 = 20.0;

/// What to look for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MagneticSearch {
    /// How far below the quiet level a bay must go, nT.
    pub depth_nt: f64,
    /// The quiet level of the component, nT; the median of the record where none is given.
    pub quiet_nt: Option<f64>,
    /// Kp of the time, which says where the current flows; none where it is not known.
    pub kp: Option<f64>,
}

impl Default for MagneticSearch {
    /// Bays of 500 nT: a substorm of middling strength under the current.
    fn default() -> Self {
        Self { depth_nt: 500.0, quiet_nt: None, kp: None }
    }
}

/// From what bays are measured.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum MagneticReference {
    /// A level that was given.
    Given,
    /// The median of a record of a day or more.
    MedianOfDay,
    /// The median of fewer hours, which a disturbance may have moved.
    MedianOfHours,
}

/// A stretch in which the field stood below its quiet level.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Bay {
    /// First sample beyond the depth asked for.
    pub from: Timestamp,
    /// Last such sample.
    pub to: Timestamp,
    /// Greatest distance below the quiet level, nT.
    pub depth_nt: f64,
    /// When that was.
    pub deepest_at: Timestamp,
}

/// What a magnetogram says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MagneticEvents {
    /// The component that was looked through.
    pub element: MagneticElement,
    /// The quiet level, nT.
    pub quiet_nt: f64,
    /// Where it is from.
    pub reference: MagneticReference,
    /// Bays, in order of time.
    pub bays: Vec<Bay>,
    /// Onsets, in order of time. Empty also where the record is coarser than a minute; see `untried_minutes`.
    pub onsets: Vec<Onset>,
    /// Minutes that could not be tried for an onset because of gaps; none where the record is coarser than a minute.
    pub untried_minutes: Option<usize>,
    /// Samples that stood alone and were left out, the first hundred.
    pub spikes: Vec<MagneticSpike>,
    /// All of those.
    pub spike_count: usize,
    /// Jumps of the base line that were taken out.
    pub steps: Vec<MagneticStep>,
    /// Share of the samples that is there, 0 to 1.
    pub coverage: f64,
    /// Where the station lies, where that is known.
    pub station: Option<StationPlace>,
}

/// Looks for bays and onsets in the northward component of a record.
///
/// Spikes of up to five samples (two in a record of minutes) and jumps of the base line are taken out first. Gaps stay gaps: an onset
/// within or at the edge of one is not found, and the minutes so lost are counted.
///
/// # Errors
///
/// No component toward north, fewer than two values in it, or a depth that is not above 0.
pub fn magnetic_events(record: &MagneticRecord, search: &MagneticSearch) -> Result<MagneticEvents, SequenceError> {
    if !(search.depth_nt > 0.0 && search.depth_nt.is_finite()) {
        let (what, bound) = ("the depth of a bay in nT", "above 0");
        return Err(SequenceError::OutOfRange { what, value: search.depth_nt, bound });
    }
    if !(record.cadence_s > 0.0 && record.cadence_s.is_finite()) {
        let (what, bound) = ("the cadence in seconds", "above 0");
        return Err(SequenceError::OutOfRange { what, value: record.cadence_s, bound });
    }
    let (element, values) =
        record.northward().ok_or_else(|| SequenceError::NoNorthward { station: record.station_code.clone() })?;
    let clean = cleaned(record, values);
    let mut present: Vec<f64> = clean.values_nt.iter().copied().filter(|value| value.is_finite()).collect();
    let count = present.len();
    let middle_nt = median(&mut present).filter(|_| count >= 2);
    let middle_nt = middle_nt.ok_or(SequenceError::TooFewSamples { what: "a magnetogram", found: count, needed: 2 })?;
    let hours = count as f64 * record.cadence_s / 3600.0;
    let (quiet_nt, reference) = match search.quiet_nt.filter(|quiet| quiet.is_finite()) {
        Some(quiet_nt) => (quiet_nt, MagneticReference::Given),
        None if hours >= DAY_H => (middle_nt, MagneticReference::MedianOfDay),
        None => (middle_nt, MagneticReference::MedianOfHours),
    };
    let station = Station::of(record);
    let found = minutes_nt(&clean.values_nt, record.cadence_s)
        .map(|minutes_nt| onsets(record, &minutes_nt, station.as_ref(), search.kp));
    let (onsets, untried_minutes) =
        found.map_or((Vec::new(), None), |found| (found.onsets, Some(found.untried_minutes)));
    Ok(MagneticEvents {
        element,
        quiet_nt,
        reference,
        bays: bays(record, &clean.values_nt, quiet_nt, search.depth_nt),
        onsets,
        untried_minutes,
        spikes: clean.spikes,
        spike_count: clean.spike_count,
        steps: clean.steps,
        coverage: count as f64 / values.len().max(1) as f64,
        station: station.map(|station| station.place),
    })
}

fn bays(record: &MagneticRecord, values_nt: &[f64], quiet_nt: f64, depth_nt: f64) -> Vec<Bay> {
    // first, last and deepest sample of each stretch
    let mut stretches: Vec<[usize; 3]> = Vec::new();
    for (index, value) in values_nt.iter().enumerate() {
        if !exceeds(quiet_nt - depth_nt, *value) {
            continue;
        }
        match stretches.last_mut().filter(|last| (index - last[1]) as f64 * record.cadence_s <= JOINED_S) {
            Some(last) => {
                last[1] = index;
                if *value < values_nt[last[2]] {
                    last[2] = index;
                }
            }
            None => stretches.push([index; 3]),
        }
    }
    stretches
        .iter()
        .filter(|[first, last, _]| (last - first) as f64 * record.cadence_s >= SHORTEST_S)
        .filter_map(|&[first, last, deepest]| {
            Some(Bay {
                from: record.time_of(first)?,
                to: record.time_of(last)?,
                depth_nt: quiet_nt - values_nt[deepest],
                deepest_at: record.time_of(deepest)?,
            })
        })
        .collect()
}
