//! The Sun's series.

use std::f64::consts::TAU;

use super::sun_table::{
    CENTRE, DISTANCE_SLOW, DISTANCE_WAVES, ELLIPSE, LATITUDE_WAVES, LONGITUDE_SLOW, LONGITUDE_WAVES,
};
use super::{ARCSEC_RAD, AU_KM, Arguments, Complex, Ecliptic, sum_of_waves, times, turns, unit};

/// The Sun seen from the Earth's centre.
pub(crate) fn sun_ecliptic(arguments: &Arguments) -> Ecliptic {
    let t = arguments.t;
    let anomaly = unit(arguments.sun_anomaly);
    let longitude_arcsec =
        quadratic(&LONGITUDE_SLOW, t) + harmonics(&CENTRE, anomaly, t) + sum_of_waves(&LONGITUDE_WAVES, t);
    let distance_micro_au =
        quadratic(&DISTANCE_SLOW, t) + harmonics(&ELLIPSE, anomaly, t) + sum_of_waves(&DISTANCE_WAVES, t);
    Ecliptic {
        longitude_rad: mean_longitude_turns(t) * TAU + longitude_arcsec * ARCSEC_RAD,
        latitude_rad: sum_of_waves(&LATITUDE_WAVES, t) * ARCSEC_RAD,
        distance_km: distance_micro_au * 1e-6 * AU_KM,
    }
}

fn quadratic(c: &[f64; 3], t: f64) -> f64 {
    c[0] + t * (c[1] + t * c[2])
}

/// Sum over multiples of an angle, each with a sine and a cosine that change slowly.
fn harmonics(terms: &[[f64; 4]], base: Complex, t: f64) -> f64 {
    let mut power = [1.0, 0.0];
    let mut sum = 0.0;
    for term in terms {
        power = times(power, base);
        sum += (term[0] + t * term[2]) * power[1] + (term[1] + t * term[3]) * power[0];
    }
    sum
}

/// Mean longitude of the Sun, turns; the rest of it is in the fitted constants.
fn mean_longitude_turns(t: f64) -> f64 {
    turns(t, [1_009_677.85, 129_602_771.36, 1.0866, 0.0])
}
