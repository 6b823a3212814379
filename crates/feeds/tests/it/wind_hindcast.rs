//! A recorded day from the wind at L1 to Kp, against the definitive index.

use feeds::parse_kp;
use feeds::solar_wind::{SolarWind, parse_field, parse_plasma};
use job::{ActivityKind, WindAtEarth, kp_of_solar_wind};
use quantity::Timestamp;

use crate::samples::sample;

/// The formula's own error is 1.0; eight values of one quiet day must keep to it in the mean.
const RMS_TOLERANCE: f64 = 1.0;

#[test]
fn a_quiet_day_of_2009_comes_out_as_the_index_had_it() {
    let (Some(field), Some(plasma), Some(index)) = (
        sample("../solarwind/20090101_ace_mag_1m.txt"),
        sample("../solarwind/20090101_ace_swepam_1m.txt"),
        sample("gfz/Kp_def2009.wdc"),
    ) else {
        return;
    };
    let wind = SolarWind::join(&parse_field(&field, "mag").unwrap(), &parse_plasma(&plasma, "swepam").unwrap());
    let samples: Vec<WindAtEarth> = wind
        .samples
        .iter()
        .map(|sample| WindAtEarth {
            arrives_at: sample.arrives_at,
            by_nt: sample.by_nt,
            bz_nt: sample.bz_nt,
            speed_km_s: sample.speed_km_s,
            density_cm3: sample.density_cm3,
        })
        .collect();
    let end: Timestamp = "2009-01-02T00:00:00Z".parse().unwrap();
    let index = parse_kp(&index, "Kp_def2009.wdc").unwrap();
    let day = index.intervals.iter().filter(|interval| interval.to <= end && interval.kind == ActivityKind::Definitive);
    let pairs: Vec<(f64, f64)> =
        day.filter_map(|interval| Some((kp_of_solar_wind(&samples, interval.to).ok()?, interval.kp))).collect();
    assert!(pairs.len() >= 6, "the first interval has little wind that has arrived: {pairs:?}");
    let mean = |value: &dyn Fn(&(f64, f64)) -> f64| pairs.iter().map(value).sum::<f64>() / pairs.len() as f64;
    let (bias, rms) = (mean(&|(ours, theirs)| ours - theirs), mean(&|(ours, theirs)| (ours - theirs).powi(2)).sqrt());
    assert!(rms < RMS_TOLERANCE, "bias {bias:.2}, rms {rms:.2}: {pairs:.2?}");
}
