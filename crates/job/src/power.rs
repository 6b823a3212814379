//! From hemispheric power to activity.

use aurora::kp_from_hemispheric_power_gw;
use quantity::Timestamp;

use crate::{ActivityKind, KpInterval};

/// Length of the intervals given, seconds: as fine as anything here changes.
const STEP_S: i64 = 30 * 60;

/// Power of one hemisphere at an instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PowerAt {
    /// The instant it holds for.
    pub at: Timestamp,
    /// Power that auroral electrons bring, GW.
    pub power_gw: f64,
}

/// Kp by the hemispheric power, in half-hourly means (see [`aurora::kp_from_hemispheric_power_gw`]).
///
/// Power counts, not Kp, when values are averaged. Half hours without a value stay open. A power that is no finite
/// number of 0 or more is left out.
///
/// * `samples`: any order.
pub fn power_intervals(samples: &[PowerAt]) -> Vec<KpInterval> {
    let slot = |sample: &PowerAt| sample.at.as_second().div_euclid(STEP_S);
    let mut samples: Vec<PowerAt> =
        samples.iter().filter(|sample| sample.power_gw.is_finite() && sample.power_gw >= 0.0).copied().collect();
    samples.sort_by_key(|sample| sample.at);
    samples
        .chunk_by(|a, b| slot(a) == slot(b))
        .filter_map(|together| {
            let start_s = slot(together.first()?) * STEP_S;
            let sum_gw: f64 = together.iter().map(|sample| sample.power_gw).sum();
            Some(KpInterval {
                from: Timestamp::from_second(start_s).ok()?,
                to: Timestamp::from_second(start_s + STEP_S).ok()?,
                kp: kp_from_hemispheric_power_gw(sum_gw / together.len() as f64),
                kind: ActivityKind::Power,
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_hours_are_means_of_power_and_gaps_stay_open() {
        let sample = |minute: i64, power_gw| PowerAt { at: Timestamp::from_second(60 * minute).unwrap(), power_gw };
        let samples = [sample(100, 50.0), sample(0, 40.0), sample(29, 60.0), sample(5, f64::NAN), sample(6, -1.0)];
        let intervals = power_intervals(&samples);
        assert_eq!(intervals.iter().map(|i| i.from.as_second()).collect::<Vec<_>>(), [0, 90 * 60]);
        // 50 GW by the published relation
        assert!(intervals.iter().all(|interval| (interval.kp - 3.94).abs() < 0.01), "{intervals:?}");
        assert!(power_intervals(&[PowerAt { at: Timestamp::MIN, power_gw: 1e300 }]).iter().all(|i| i.kp <= 9.0));
    }
}
