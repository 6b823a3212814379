//! The Moon's series.

use std::f64::consts::TAU;

use super::moon_table::{
    DISTANCE_CONSTANT_KM, DISTANCE_DRIFT, LATITUDE, LATITUDE_CONSTANT, LATITUDE_DRIFT, LATITUDE_WAVES, LONGITUDE,
    LONGITUDE_DRIFT, LONGITUDE_SLOW, LONGITUDE_WAVES,
};
use super::{ARCSEC_RAD, Arguments, Complex, Ecliptic, mirrored, sum_of_waves, times, turns, unit};

/// Largest multiple of each argument in the tables.
const MAX_D: usize = 6;
const MAX_M: usize = 3;
const MAX_MP: usize = 6;
const MAX_F: usize = 4;
const SUN_WIDTH: usize = 2 * MAX_M + 1;
const NODE_WIDTH: usize = 2 * MAX_F + 1;
const SUN_SIZE: usize = (MAX_D + 1) * SUN_WIDTH;
const NODE_SIZE: usize = (2 * MAX_MP + 1) * NODE_WIDTH;

/// Which entries of the two tables of multiples make up an angle d D + m M + mp M' + f F.
#[derive(Debug, Clone, Copy)]
struct Angle {
    sun: u8,
    node: u8,
}

impl Angle {
    #[expect(clippy::cast_sign_loss, reason = "the offsets make each factor 0 or more")]
    #[expect(clippy::cast_possible_truncation, reason = "the widths are below 10")]
    const fn new(d: i8, m: i8, mp: i8, f: i8) -> Self {
        Self {
            sun: (d * SUN_WIDTH as i8 + m + MAX_M as i8) as u8,
            node: ((mp + MAX_MP as i8) * NODE_WIDTH as i8 + f + MAX_F as i8) as u8,
        }
    }
}

/// One term of the longitude and distance.
#[derive(Debug)]
pub(super) struct LongitudeTerm {
    angle: Angle,
    sine_arcsec: f64,
    cosine_km: f64,
}

impl LongitudeTerm {
    pub(super) const fn new(d: i8, m: i8, mp: i8, f: i8, sine_arcsec: f64, cosine_km: f64) -> Self {
        Self { angle: Angle::new(d, m, mp, f), sine_arcsec, cosine_km }
    }
}

/// One term of the latitude.
#[derive(Debug)]
pub(super) struct LatitudeTerm {
    angle: Angle,
    sine_arcsec: f64,
}

impl LatitudeTerm {
    pub(super) const fn new(d: i8, m: i8, mp: i8, f: i8, sine_arcsec: f64) -> Self {
        Self { angle: Angle::new(d, m, mp, f), sine_arcsec }
    }
}

/// A slow change of a large term: out of step (constant, and growing with t), and in step (growing with t).
#[derive(Debug)]
pub(super) struct Drift {
    angle: Angle,
    across: f64,
    across_rate: f64,
    along_rate: f64,
}

impl Drift {
    pub(super) const fn new(d: i8, m: i8, mp: i8, f: i8, across: f64, across_rate: f64, along_rate: f64) -> Self {
        Self { angle: Angle::new(d, m, mp, f), across, across_rate, along_rate }
    }
}

/// Cosine and sine of all multiples in use: of D and M in one table, of M' and F in the other.
struct Multiples {
    sun: [Complex; SUN_SIZE],
    node: [Complex; NODE_SIZE],
}

impl Multiples {
    fn new(arguments: &Arguments) -> Self {
        // the terms with M shrink with the eccentricity of the Earth's orbit
        let e = 1.0 - arguments.t * (0.002516 + arguments.t * 0.0000074);
        let sun_unit = unit(arguments.sun_anomaly).map(|c| c * e);
        let m = both_signs::<SUN_WIDTH>(sun_unit);
        let mp = both_signs::<{ 2 * MAX_MP + 1 }>(unit(arguments.moon_anomaly));
        let f = both_signs::<NODE_WIDTH>(unit(arguments.node_distance));
        let d_unit = unit(arguments.elongation);
        let mut d = [1.0, 0.0];
        let mut sun = [[0.0; 2]; SUN_SIZE];
        for row in sun.chunks_exact_mut(SUN_WIDTH) {
            for (cell, m) in row.iter_mut().zip(&m) {
                *cell = times(d, *m);
            }
            d = times(d, d_unit);
        }
        let mut node = [[0.0; 2]; NODE_SIZE];
        for (row, mp) in node.chunks_exact_mut(NODE_WIDTH).zip(&mp) {
            for (cell, f) in row.iter_mut().zip(&f) {
                *cell = times(*mp, *f);
            }
        }
        Self { sun, node }
    }

    fn of(&self, angle: Angle) -> Complex {
        times(self.sun[usize::from(angle.sun)], self.node[usize::from(angle.node)])
    }
}

/// Powers -n..=n of a number, n = (WIDTH - 1)/2; negative ones mirrored, not inverted, so that a length below 1 shrinks both.
fn both_signs<const WIDTH: usize>(base: Complex) -> [Complex; WIDTH] {
    let middle = WIDTH / 2;
    let mut powers = [[1.0, 0.0]; WIDTH];
    for step in 1..=middle {
        powers[middle + step] = times(powers[middle + step - 1], base);
        powers[middle - step] = mirrored(powers[middle + step]);
    }
    powers
}

/// The Moon seen from the Earth's centre.
pub(crate) fn moon_ecliptic(arguments: &Arguments) -> Ecliptic {
    let t = arguments.t;
    let multiples = Multiples::new(arguments);
    let [distance_km, longitude_arcsec] = longitude_sums(&multiples, t);
    let [_, latitude_arcsec] = LATITUDE
        .iter()
        .fold([0.0, LATITUDE_CONSTANT], |sum, term| [0.0, sum[1] + term.sine_arcsec * multiples.of(term.angle)[1]]);
    let latitude_arcsec =
        latitude_arcsec + sine_drift(&LATITUDE_DRIFT, &multiples, t) + sum_of_waves(&LATITUDE_WAVES, t);
    Ecliptic {
        longitude_rad: mean_longitude_turns(t) * TAU + longitude_arcsec * ARCSEC_RAD,
        latitude_rad: latitude_arcsec * ARCSEC_RAD,
        distance_km,
    }
}

/// Distance in km, and longitude beyond the mean one in arcsec.
fn longitude_sums(multiples: &Multiples, t: f64) -> [f64; 2] {
    let mut distance_km = DISTANCE_CONSTANT_KM;
    let mut longitude_arcsec = LONGITUDE_SLOW[0] + t * (LONGITUDE_SLOW[1] + t * LONGITUDE_SLOW[2]);
    for term in &LONGITUDE {
        let [cosine, sine] = multiples.of(term.angle);
        longitude_arcsec += term.sine_arcsec * sine;
        distance_km += term.cosine_km * cosine;
    }
    longitude_arcsec += sine_drift(&LONGITUDE_DRIFT, multiples, t) + sum_of_waves(&LONGITUDE_WAVES, t);
    distance_km += cosine_drift(&DISTANCE_DRIFT, multiples, t);
    [distance_km, longitude_arcsec]
}

fn sine_drift(drifts: &[Drift], multiples: &Multiples, t: f64) -> f64 {
    drifts.iter().map(|drift| drift_of(drift, multiples.of(drift.angle), t)).sum()
}

fn cosine_drift(drifts: &[Drift], multiples: &Multiples, t: f64) -> f64 {
    drifts
        .iter()
        .map(|drift| {
            let [cosine, sine] = multiples.of(drift.angle);
            drift_of(drift, [sine, cosine], t)
        })
        .sum()
}

fn drift_of(drift: &Drift, [across, along]: Complex, t: f64) -> f64 {
    (drift.across + t * drift.across_rate) * across + t * drift.along_rate * along
}

/// Mean longitude of the Moon, turns (Simon et al. 1994).
fn mean_longitude_turns(t: f64) -> f64 {
    turns(t, [785_939.955_696, 1_732_564_372.442_356, -5.68296, 0.006_681_079])
}
