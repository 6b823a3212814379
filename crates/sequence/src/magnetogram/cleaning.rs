use quantity::Timestamp;
use serde::Serialize;

use super::record::MagneticRecord;
use crate::robust::{exceeds, median, middle_and_spread};

/// Fastest cadence group: the window of fast records reaches this many samples to each side, so that spikes of up to five
/// samples stand alone in it.
const FAST_REACH: usize = 5;
/// The window of slow records (minutes): spikes of up to two samples.
const SLOW_REACH: usize = 2;
/// Up to this cadence a record is fast, s.
const FAST_CADENCE_S: f64 = 10.0;
/// A spike stands out of its surroundings by this many of their Gaussian-equivalent spreads...
const SPIKE_SPREADS: f64 = 10.0;
/// ...and by this much at least, nT: above the noise of any observatory, below any bay.
const SPIKE_NT: f64 = 20.0;
/// Cadence up to which a step of the base line can be told from the field, s.
const STEP_CADENCE_S: f64 = 2.0;
/// Change in one sample that no field makes, nT. The fastest changes on record are some 50 nT/s (from memory).
const STEP_NT: f64 = 150.0;
/// Samples on either side from which the height of a step is taken.
const STEP_REACH: usize = 5;
/// Spikes and steps kept for the report.
const MOST_KEPT: usize = 100;

/// Samples that stand alone: not the field.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MagneticSpike {
    /// When.
    pub at: Timestamp,
    /// What the record says, nT.
    pub value_nt: f64,
    /// What its surroundings say, nT.
    pub surroundings_nt: f64,
}

/// A jump of the base line, which has been taken out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MagneticStep {
    /// First sample after it.
    pub at: Timestamp,
    /// Its height, nT.
    pub height_nt: f64,
}

/// A component without spikes and steps; gaps are NaN.
#[derive(Debug, Clone)]
pub(super) struct Clean {
    pub(super) values_nt: Vec<f64>,
    pub(super) spikes: Vec<MagneticSpike>,
    pub(super) spike_count: usize,
    pub(super) steps: Vec<MagneticStep>,
}

/// Takes out spikes (Hampel's filter: far from the median of the window by its median deviation) and steps.
pub(super) fn cleaned(record: &MagneticRecord, values: &[Option<f64>]) -> Clean {
    let raw: Vec<f64> = values.iter().map(|value| value.filter(|v| v.is_finite()).unwrap_or(f64::NAN)).collect();
    let reach = if record.cadence_s <= FAST_CADENCE_S { FAST_REACH } else { SLOW_REACH };
    let mut clean = Clean { values_nt: raw.clone(), spikes: Vec::new(), spike_count: 0, steps: Vec::new() };
    let mut window = Vec::with_capacity(2 * reach + 1);
    for (index, value) in raw.iter().enumerate() {
        if !value.is_finite() {
            continue;
        }
        window.clear();
        let around = index.saturating_sub(reach)..(index + reach + 1).min(raw.len());
        window.extend(raw[around].iter().filter(|value| value.is_finite()));
        // with fewer neighbours there is nothing to stand out of
        let Some((middle, spread)) = middle_and_spread(&window).filter(|_| window.len() > reach) else { continue };
        if (value - middle).abs() > (SPIKE_SPREADS * spread).max(SPIKE_NT) {
            clean.values_nt[index] = f64::NAN;
            clean.spike_count += 1;
            if let Some(at) = record.time_of(index).filter(|_| clean.spikes.len() < MOST_KEPT) {
                clean.spikes.push(MagneticSpike { at, value_nt: *value, surroundings_nt: middle });
            }
        }
    }
    if record.cadence_s <= STEP_CADENCE_S {
        clean.take_out_steps(record);
    }
    clean
}

impl Clean {
    fn take_out_steps(&mut self, record: &MagneticRecord) {
        let mut offset = 0.0;
        let original = self.values_nt.clone();
        for index in 0..original.len() {
            if let Some(height_nt) = step_before(&original, index) {
                offset += height_nt;
                if let Some(at) = record.time_of(index).filter(|_| self.steps.len() < MOST_KEPT) {
                    self.steps.push(MagneticStep { at, height_nt });
                }
            }
            self.values_nt[index] -= offset;
        }
    }
}

/// The height of a jump between a sample and the one before it.
fn step_before(values: &[f64], index: usize) -> Option<f64> {
    let before = *values.get(index.checked_sub(1)?)?;
    if !exceeds((values[index] - before).abs(), STEP_NT) {
        return None;
    }
    let side = |range: std::ops::Range<usize>| {
        let mut found: Vec<f64> = values[range].iter().copied().filter(|value| value.is_finite()).collect();
        median(&mut found)
    };
    let before = side(index.saturating_sub(STEP_REACH)..index)?;
    let after = side(index..(index + STEP_REACH).min(values.len()))?;
    Some(after - before).filter(|height| height.abs() > STEP_NT)
}

/// The median of each minute that is at least half there, centred on the full minute of the record's own grid; NaN elsewhere.
///
/// None where the record is coarser than a minute.
pub(super) fn minutes_nt(values_nt: &[f64], cadence_s: f64) -> Option<Vec<f64>> {
    /// Cadences up to this are minutes, s: 60 with room for how it is written.
    const MINUTE_S: f64 = 60.5;
    if cadence_s > MINUTE_S {
        return None;
    }
    let per_minute = (60.0 / cadence_s).round().max(1.0);
    let mut minutes: Vec<f64> = Vec::new();
    let mut held: Vec<f64> = Vec::new();
    let mut close = |held: &mut Vec<f64>| {
        // the first minute of the grid has only its second half
        let enough =
            held.len() as f64 >= per_minute / 2.0 || (minutes.is_empty() && held.len() as f64 >= per_minute / 4.0);
        minutes.push(if enough { median(held).unwrap_or(f64::NAN) } else { f64::NAN });
        held.clear();
    };
    let mut current = 0.0;
    for (index, value) in values_nt.iter().enumerate() {
        let minute = (index as f64 / per_minute + 0.5).floor();
        while current < minute {
            close(&mut held);
            current += 1.0;
        }
        if value.is_finite() {
            held.push(*value);
        }
    }
    close(&mut held);
    Some(minutes)
}
