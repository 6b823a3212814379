//! The series against the IAU routines over all the years they are meant for.

use jiff::Timestamp;

use super::*;
use crate::time::J2000_JD;

/// The next term of the sine's series at a quarter turn, (pi/2)^15/15!, with some room.
const SINE_TOLERANCE: f64 = 1e-9;
/// Sun: 0.7" of ours against DE440, 0.02" of EPV00 against it.
const SUN_TOLERANCE_ARCSEC: f64 = 0.8;
/// Sun's distance: ours to 1e-5 au.
const SUN_DISTANCE_TOLERANCE_KM: f64 = 1.2e-5 * AU_KM;
/// Moon: the IAU's short series itself is off by up to 15" in longitude, ours by 3".
const MOON_TOLERANCE_ARCSEC: f64 = 20.0;
/// Moon's distance: the IAU's short series to 60 km, ours to 50 km.
const MOON_DISTANCE_TOLERANCE_KM: f64 = 100.0;
/// Nutation: what the terms left out add up to.
const NUTATION_TOLERANCE_ARCSEC: f64 = 0.03;
/// Constant of aberration, arcsec.
const ABERRATION_ARCSEC: f64 = 20.49552;
/// Some 4 000 instants over the years covered, at no fixed hour, day or phase.
const STEP_S: i64 = 1_183_411;

fn epochs() -> impl Iterator<Item = Clocks> {
    (-631_152_000..4_102_444_800_i64)
        .step_by(usize::try_from(STEP_S).unwrap())
        .map(|second| Clocks::at(Timestamp::from_second(second).unwrap()).unwrap())
}

/// An ICRS vector in au, on the mean ecliptic and equinox of date.
fn to_ecliptic(vector_au: [f64; 3], clocks: &Clocks) -> Ecliptic {
    let (gamma, phi, psi, _) = sofars::pnp::pfw06(J2000_JD, clocks.tt_days);
    let mut m = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    sofars::vm::rz(gamma, &mut m);
    sofars::vm::rx(phi, &mut m);
    sofars::vm::rz(-psi, &mut m);
    let [x, y, z] = m.map(|row| row[0] * vector_au[0] + row[1] * vector_au[1] + row[2] * vector_au[2]);
    let flat = x.hypot(y);
    Ecliptic { longitude_rad: y.atan2(x), latitude_rad: z.atan2(flat), distance_km: flat.hypot(z) * AU_KM }
}

/// Great-circle distance for small angles, arcsec.
fn miss_arcsec(ours: &Ecliptic, theirs: &Ecliptic) -> f64 {
    let across = (ours.longitude_rad - theirs.longitude_rad + TAU / 2.0).rem_euclid(TAU) - TAU / 2.0;
    (across * ours.latitude_rad.cos()).hypot(ours.latitude_rad - theirs.latitude_rad) / ARCSEC_RAD
}

fn assert_all_below(what: &str, mut misses: Vec<f64>, tolerance: f64) {
    misses.sort_by(f64::total_cmp);
    let (median, largest) = (misses[misses.len() / 2], misses[misses.len() - 1]);
    assert!(largest < tolerance, "{what}: median {median:.3}, largest {largest:.3}, allowed {tolerance}");
}

#[test]
fn sun_agrees_with_the_full_series() {
    let (mut angles, mut distances) = (Vec::new(), Vec::new());
    for clocks in epochs() {
        let (heliocentric, _) = sofars::eph::epv00(J2000_JD, clocks.tt_days).unwrap();
        let mut theirs = to_ecliptic(heliocentric[0].map(|c| -c), &clocks);
        // the sine and cosine of the orbit's eccentricity make it 0.34" more or less over the year
        theirs.longitude_rad -= ABERRATION_ARCSEC * ARCSEC_RAD * AU_KM / theirs.distance_km;
        let ours = sun_ecliptic(&Arguments::at(&clocks));
        angles.push(miss_arcsec(&ours, &theirs));
        distances.push((ours.distance_km - theirs.distance_km).abs());
    }
    assert_all_below("sun, arcsec", angles, SUN_TOLERANCE_ARCSEC);
    assert_all_below("sun, km", distances, SUN_DISTANCE_TOLERANCE_KM);
}

#[test]
fn moon_agrees_with_the_short_series_as_far_as_that_goes() {
    let (mut angles, mut distances) = (Vec::new(), Vec::new());
    for clocks in epochs() {
        let theirs = to_ecliptic(sofars::eph::moon98(J2000_JD, clocks.tt_days)[0], &clocks);
        let ours = moon_ecliptic(&Arguments::at(&clocks));
        angles.push(miss_arcsec(&ours, &theirs));
        distances.push((ours.distance_km - theirs.distance_km).abs());
    }
    assert_all_below("moon, arcsec", angles, MOON_TOLERANCE_ARCSEC);
    assert_all_below("moon, km", distances, MOON_DISTANCE_TOLERANCE_KM);
}

#[test]
fn nutation_agrees_with_the_full_series() {
    let mut misses = Vec::new();
    for clocks in epochs() {
        let (longitude, obliquity) = sofars::pnp::nut06a(J2000_JD, clocks.tt_days);
        let ours = nutation(&Arguments::at(&clocks));
        misses.push((ours[0] - longitude).abs().max((ours[1] - obliquity).abs()) / ARCSEC_RAD);
    }
    assert_all_below("nutation, arcsec", misses, NUTATION_TOLERANCE_ARCSEC);
}

#[test]
fn the_quick_sine_is_the_sine() {
    for step in -4_000..4_000 {
        let x = f64::from(step) * 0.00173;
        assert!((sine(x) - (x * TAU).sin()).abs() < SINE_TOLERANCE, "at {x}");
    }
}

#[test]
fn nearest_rounds_both_ways() {
    for (x, whole) in [(2.4, 2.0), (2.6, 3.0), (-2.4, -2.0), (-2.6, -3.0), (480_000.7, 480_001.0)] {
        assert!((nearest(x) - whole).abs() < f64::EPSILON);
    }
}
