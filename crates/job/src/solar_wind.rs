//! From the solar wind that is on its way to the activity of the coming hour.

use aurora::{NEWELL_AVERAGING_H, kp_from_newell, newell_coupling, newell_viscous};
use jiff::SignedDuration;
use quantity::Timestamp;
use serde::{Deserialize, Serialize};

use crate::{ActivityKind, JobError, KpInterval};

/// Length of the intervals given. A southward turn moves a mean over three hours by a sixth in half an hour.
const STEP: SignedDuration = SignedDuration::from_mins(30);
/// A last interval shorter than this is joined to the one before.
const SHORTEST_STEP: SignedDuration = SignedDuration::from_mins(10);
/// Farthest ahead a measured wind is believed to say anything: the slowest usual wind, 250 km/s, needs 1.6 hours.
const FARTHEST_AHEAD: SignedDuration = SignedDuration::from_hours(2);
/// The averaging of the index.
#[expect(clippy::cast_possible_truncation, reason = "3")]
const AVERAGED: SignedDuration = SignedDuration::from_hours(NEWELL_AVERAGING_H as i64);
/// Fewest minutes with a sample in the averaged time: a quarter of it. The agency's table of the wind moved to Earth has
/// an hour.
const FEWEST_MINUTES: usize = 45;

/// One minute of solar wind with the time it reaches Earth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WindAtEarth {
    /// When it reaches Earth.
    pub arrives_at: Timestamp,
    /// Component of the field along the GSM y axis, nT.
    pub by_nt: f64,
    /// Component of the field along the GSM z axis, nT; negative is southward.
    pub bz_nt: f64,
    /// Speed, km/s.
    pub speed_km_s: f64,
    /// Protons per cm³, where measured.
    pub density_cm3: Option<f64>,
}

/// The wind upstream of Earth as last measured: what would have to change is counted from it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct UpstreamWind {
    /// Who measures it.
    pub source: String,
    /// Time of the newest sample, at the spacecraft.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub measured_at: Timestamp,
    /// Mean component of the field along the GSM y axis, nT.
    pub by_nt: f64,
    /// Mean component of the field along the GSM z axis, nT; negative is southward.
    pub bz_nt: f64,
    /// Mean speed, km/s.
    pub speed_km_s: f64,
    /// Mean protons per cm³, where measured.
    pub density_cm3: Option<f64>,
}

/// Minutes of wind averaged into [`UpstreamWind`]: shorter than the half hour after which a turn matters.
const UPSTREAM_AVERAGED: SignedDuration = SignedDuration::from_mins(15);

impl UpstreamWind {
    /// The mean of the last quarter of an hour of what is on its way; `None` without samples.
    ///
    /// * `samples`: any order.
    /// * `measured_at`: time of the newest of them, at the spacecraft.
    pub fn of(samples: &[WindAtEarth], source: &str, measured_at: Timestamp) -> Option<Self> {
        let last = samples.iter().map(|sample| sample.arrives_at).max()?;
        let first = last.checked_sub(UPSTREAM_AVERAGED).unwrap_or(Timestamp::MIN);
        let newest = || samples.iter().filter(|sample| sample.arrives_at > first);
        Some(Self {
            source: source.to_owned(),
            measured_at,
            by_nt: mean(newest().map(|sample| sample.by_nt))?,
            bz_nt: mean(newest().map(|sample| sample.bz_nt))?,
            speed_km_s: mean(newest().map(|sample| sample.speed_km_s))?,
            density_cm3: mean(newest().filter_map(|sample| sample.density_cm3)),
        })
    }

    /// Checks the values.
    ///
    /// # Errors
    ///
    /// A speed, density or field no solar wind has.
    pub(crate) fn check(&self) -> Result<(), JobError> {
        JobError::check("upstream.by_nt", self.by_nt, -200.0, 200.0, "nT")?;
        JobError::check("upstream.bz_nt", self.bz_nt, -200.0, 200.0, "nT")?;
        JobError::check("upstream.speed_km_s", self.speed_km_s, 100.0, 3000.0, "km/s")?;
        JobError::check("upstream.density_cm3", self.density_cm3.unwrap_or(0.0), 0.0, 500.0, "per cm³")
            .map(|_checked| ())
    }
}

/// Why a solar wind gives no activity.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum WindUnusable {
    /// Everything measured has already arrived.
    #[error("all of it has already arrived")]
    NothingAhead,
    /// Too many gaps.
    #[error("only {found} of its minutes in the last three hours have a value, {needed} are needed")]
    TooFew {
        /// Minutes with a sample.
        found: usize,
        /// Minutes needed.
        needed: usize,
    },
    /// No sample has a density.
    #[error("it has no density")]
    NoDensity,
}

impl WindUnusable {
    /// What to do about it.
    pub fn hint(self) -> &'static str {
        match self {
            Self::NothingAhead => "fetch it again; a measured wind is good for about an hour",
            Self::TooFew { .. } => "go by the forecast until the spacecraft is heard again",
            Self::NoDensity => "go by the forecast, or by the wind the agency has moved to Earth",
        }
    }
}

/// Kp by the solar wind that arrived in the three hours up to an instant (see [`aurora::kp_from_newell`]).
///
/// Each minute counts once. A minute without density takes the mean density of the others.
///
/// * `samples`: any order.
///
/// # Errors
///
/// Fewer than 45 minutes with a sample, or not one with a density.
pub fn kp_of_solar_wind(samples: &[WindAtEarth], until: Timestamp) -> Result<f64, WindUnusable> {
    let from = until.checked_sub(AVERAGED).unwrap_or(Timestamp::MIN);
    let mut arrived: Vec<&WindAtEarth> =
        samples.iter().filter(|sample| from < sample.arrives_at && sample.arrives_at <= until).collect();
    arrived.sort_by_key(|sample| sample.arrives_at);
    let minutes = by_minute(&arrived);
    if minutes.len() < FEWEST_MINUTES {
        return Err(WindUnusable::TooFew { found: minutes.len(), needed: FEWEST_MINUTES });
    }
    let density_cm3 = mean(arrived.iter().filter_map(|sample| sample.density_cm3)).ok_or(WindUnusable::NoDensity)?;
    let mean_of = |term: &dyn Fn(&WindAtEarth) -> f64| {
        mean(minutes.iter().filter_map(|minute| mean(minute.iter().map(|sample| term(sample))))).unwrap_or(0.0)
    };
    let coupling = mean_of(&|sample| newell_coupling(sample.speed_km_s, sample.by_nt, sample.bz_nt));
    let viscous = mean_of(&|sample| newell_viscous(sample.speed_km_s, sample.density_cm3.unwrap_or(density_cm3)));
    Ok(kp_from_newell(coupling, viscous))
}

/// The activity of the coming hour by the solar wind that is on its way: half-hourly means over the three hours before.
///
/// From `now` to the arrival of the last sample. Each interval stands for the wind that has arrived by its end, so that
/// a southward turn shows as it comes in.
///
/// # Errors
///
/// Everything has already arrived, or there is too little of it (see [`kp_of_solar_wind`]).
pub fn solar_wind_intervals(samples: &[WindAtEarth], now: Timestamp) -> Result<Vec<KpInterval>, WindUnusable> {
    let farthest = now.checked_add(FARTHEST_AHEAD).unwrap_or(Timestamp::MAX);
    let last = samples.iter().map(|sample| sample.arrives_at).filter(|at| *at <= farthest).max();
    let last = last.filter(|last| *last > now).ok_or(WindUnusable::NothingAhead)?;
    let mut intervals = Vec::new();
    let mut refused = WindUnusable::NothingAhead;
    // `from` stays where there is too little yet: what arrives later then stands for that time too
    let (mut from, mut to) = (now, now);
    while to < last {
        let next = to.checked_add(STEP).unwrap_or(last);
        to = if last.duration_since(next) < SHORTEST_STEP { last } else { next };
        match kp_of_solar_wind(samples, to) {
            Ok(kp) => {
                intervals.push(KpInterval { from, to, kp, kind: ActivityKind::SolarWind });
                from = to;
            }
            Err(problem) => refused = problem,
        }
    }
    if intervals.is_empty() { Err(refused) } else { Ok(intervals) }
}

/// Samples that arrive in the same minute, together: wind that catches up with slower wind arrives with it.
fn by_minute<'a>(arrived: &'a [&'a WindAtEarth]) -> Vec<&'a [&'a WindAtEarth]> {
    let minute = |sample: &WindAtEarth| sample.arrives_at.as_second().div_euclid(60);
    arrived.chunk_by(|a, b| minute(a) == minute(b)).collect()
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (sum, count) = values.fold((0.0, 0u32), |(sum, count), value| (sum + value, count + 1));
    (count > 0).then(|| sum / f64::from(count))
}

#[cfg(test)]
mod tests {
    use super::*;

    const NOW_S: i64 = 1_790_000_000;

    fn at(minutes: i64) -> Timestamp {
        Timestamp::from_second(NOW_S + 60 * minutes).unwrap()
    }

    /// A wind that arrives from `from` to `to` minutes of now.
    fn wind(from: i64, to: i64, bz_nt: f64) -> Vec<WindAtEarth> {
        let sample = |minute| WindAtEarth {
            arrives_at: at(minute),
            by_nt: 0.0,
            bz_nt,
            speed_km_s: 500.0,
            density_cm3: Some(5.0),
        };
        (from..to).map(sample).collect()
    }

    #[test]
    fn a_steady_wind_gives_the_worked_value_until_its_last_arrival() {
        let intervals = solar_wind_intervals(&wind(-300, 66, -10.0), at(0)).unwrap();
        let ends: Vec<Timestamp> = intervals.iter().map(|interval| interval.to).collect();
        assert_eq!(ends, [at(30), at(65)]);
        for interval in intervals {
            assert!((interval.kp - 5.77).abs() < 0.01, "{}", interval.kp);
            assert_eq!(interval.kind, ActivityKind::SolarWind);
        }
    }

    #[test]
    fn an_hour_that_only_begins_to_arrive_stands_for_the_whole_of_it() {
        let intervals = solar_wind_intervals(&wind(1, 61, -10.0), at(0)).unwrap();
        assert_eq!(intervals.len(), 1);
        assert_eq!((intervals[0].from, intervals[0].to), (at(0), at(60)));
    }

    #[test]
    fn a_southward_turn_comes_in_by_steps() {
        let samples = [wind(-300, 10, 5.0), wind(10, 71, -10.0)].concat();
        let kp: Vec<f64> = solar_wind_intervals(&samples, at(0)).unwrap().iter().map(|interval| interval.kp).collect();
        assert_eq!(kp.len(), 3);
        assert!(kp[0] < kp[1] && kp[1] < kp[2] && kp[2] < 5.77, "{kp:?}");
    }

    #[test]
    fn wind_that_has_arrived_says_nothing_of_what_is_ahead() {
        assert_eq!(solar_wind_intervals(&wind(-300, 1, -10.0), at(0)), Err(WindUnusable::NothingAhead));
        assert_eq!(solar_wind_intervals(&[], at(0)), Err(WindUnusable::NothingAhead));
    }

    #[test]
    fn gaps_and_absent_densities_are_said() {
        assert_eq!(
            solar_wind_intervals(&wind(40, 60, -10.0), at(0)),
            Err(WindUnusable::TooFew { found: 20, needed: FEWEST_MINUTES })
        );
        let mut samples = wind(-300, 61, -10.0);
        samples.iter_mut().skip(1).for_each(|sample| sample.density_cm3 = None);
        assert_eq!(kp_of_solar_wind(&samples, at(60)), Err(WindUnusable::NoDensity));
        samples[350].density_cm3 = Some(5.0);
        assert!((kp_of_solar_wind(&samples, at(60)).unwrap() - 5.77).abs() < 0.01);
    }

    #[test]
    fn a_crowd_in_one_minute_counts_once() {
        let mut samples = wind(-180, 1, 0.0);
        let quiet = kp_of_solar_wind(&samples, at(0)).unwrap();
        samples.extend((0..500).map(|_| WindAtEarth { bz_nt: -50.0, ..wind(0, 1, 0.0)[0] }));
        let crowded = kp_of_solar_wind(&samples, at(0)).unwrap();
        assert!(crowded - quiet < 0.3, "{quiet} {crowded}");
    }

    #[test]
    fn the_ends_of_time_are_survived() {
        for now in [Timestamp::MIN, Timestamp::MAX] {
            let samples = [WindAtEarth { arrives_at: now, ..wind(0, 1, 0.0)[0] }];
            assert!(solar_wind_intervals(&samples, now).is_err());
        }
    }
}
