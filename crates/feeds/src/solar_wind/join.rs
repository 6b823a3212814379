use jiff::SignedDuration;
use quantity::Timestamp;
use serde::Serialize;

use super::measurements::{Gap, Measurements, SourceSwitch, gaps};
use super::sample::{Arrival, FieldSample, PlasmaSample, Sample, SolarWindSample};

/// Farthest a plasma sample may lie from the field sample it is put beside. Speed changes slowly; the plasma
/// instruments skip one to three minutes as a matter of routine.
const PLASMA_TOLERANCE: SignedDuration = SignedDuration::from_mins(5);
/// From the spacecraft to the bow shock, km: L1 is 1.5 million km from Earth, the bow shock about 90 000 km sunward of
/// it (common practice, no source). Spacecraft move about L1 by some 10 % of that, which is 6 minutes at 400 km/s.
const WAY_KM: f64 = 1.5e6 - 9e4;

/// Field and plasma together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SolarWind {
    /// The samples, in order of the time of measurement.
    pub samples: Vec<SolarWindSample>,
    /// Field samples left out because no plasma sample lies within five minutes.
    pub without_plasma: usize,
}

impl SolarWind {
    /// Puts beside each field sample the plasma sample nearest in time, within five minutes.
    ///
    /// The two instruments are switched between spacecraft independently: each sample names both.
    pub fn join(field: &Measurements<FieldSample>, plasma: &Measurements<PlasmaSample>) -> Self {
        let samples: Vec<SolarWindSample> = field
            .samples
            .iter()
            .filter_map(|field| {
                let plasma = nearest(&plasma.samples, field.at)?;
                Some(SolarWindSample {
                    at: field.at,
                    arrives_at: field.at.checked_add(ballistic_delay(plasma.speed_km_s)).ok()?,
                    arrival: Arrival::Ballistic,
                    field_spacecraft: field.spacecraft.clone(),
                    plasma_spacecraft: plasma.spacecraft.clone(),
                    bt_nt: field.bt_nt,
                    by_nt: field.by_nt,
                    bz_nt: field.bz_nt,
                    speed_km_s: plasma.speed_km_s,
                    density_cm3: plasma.density_cm3,
                })
            })
            .collect();
        Self { without_plasma: field.samples.len() - samples.len(), samples }
    }

    /// The newest sample.
    pub fn newest(&self) -> Option<&SolarWindSample> {
        self.samples.last()
    }

    /// Stretches of more than a minute and a half without a sample.
    pub fn gaps(&self) -> Vec<Gap> {
        gaps(&self.samples)
    }

    /// Changes of either spacecraft.
    pub fn switches(&self) -> Vec<SourceSwitch> {
        let names = |sample: &SolarWindSample| {
            let (field, plasma) = (sample.field_spacecraft.clone(), sample.plasma_spacecraft.clone());
            if field == plasma { field } else { Some([field, plasma].map(Option::unwrap_or_default).join(" and ")) }
        };
        let pairs = self.samples.iter().zip(self.samples.iter().skip(1));
        pairs
            .map(|(before, after)| SourceSwitch { at: after.at, from: names(before), to: names(after) })
            .filter(|switch| switch.from != switch.to)
            .collect()
    }

    /// Everyone who measured, each once, in order of first appearance.
    pub fn spacecraft(&self) -> Vec<&str> {
        let mut names: Vec<&str> = Vec::new();
        for sample in &self.samples {
            for name in [&sample.field_spacecraft, &sample.plasma_spacecraft].into_iter().flatten() {
                if !names.contains(&name.as_str()) {
                    names.push(name);
                }
            }
        }
        names
    }
}

/// How long the wind takes from the spacecraft to Earth at its own speed: 59 minutes at 400 km/s, 34 at 700.
///
/// Ten minutes of error are usual: spacecraft move about L1, and the wind's front is tilted. The agency's own time of
/// arrival, for a boundary further out, is about 9 minutes shorter at 320 km/s.
///
/// * `speed_km_s`: 150 to 3000; values outside are taken as the nearer end.
pub fn ballistic_delay(speed_km_s: f64) -> SignedDuration {
    let speed_km_s = if speed_km_s.is_nan() { 400.0 } else { speed_km_s.clamp(150.0, 3000.0) };
    #[expect(clippy::cast_possible_truncation, reason = "between 470 and 9400 seconds")]
    let seconds = (WAY_KM / speed_km_s).round() as i64;
    SignedDuration::from_secs(seconds)
}

/// The sample nearest to an instant, within the tolerance.
fn nearest(samples: &[PlasmaSample], at: Timestamp) -> Option<&PlasmaSample> {
    let after = samples.partition_point(|sample| sample.at() < at);
    let before = after.checked_sub(1).and_then(|index| samples.get(index));
    let distance = |sample: &&PlasmaSample| sample.at().duration_since(at).abs();
    before
        .into_iter()
        .chain(samples.get(after))
        .min_by_key(distance)
        .filter(|sample| distance(sample) <= PLASMA_TOLERANCE)
}
