//! Laws that hold for any input.

use geomag::{
    FieldModel, MagneticClock, Sightline, bearing_deg, ecef_from_geodetic_km, geodetic_from_ecef_km,
    ground_distance_km, look_at, trace,
};
use jiff::{SignedDuration, Timestamp};
use proptest::prelude::*;
use quantity::{GeoPosition, Horizontal, wrap_degrees_180};

/// Rounding in f64 of positions up to 100 000 km: a tenth of a millimetre on the ground.
const ROUND_TRIP_DEG: f64 = 1e-9;
/// The same as a length.
const ROUND_TRIP_KM: f64 = 1e-7;
/// A sightline meets its layer to 1e-6 km or better; seen at 100 km that is 1e-6 degrees.
const SIGHT_ROUND_TRIP_DEG: f64 = 1e-5;
/// Two traces from one line err by 0.0005 degrees each, and following it here adds some.
const SAME_LINE_DEG: f64 = 0.01;

fn place() -> impl Strategy<Value = GeoPosition> {
    (-89.9..89.9f64, -180.0..180.0f64).prop_map(|(lat, lon)| GeoPosition::new(lat, lon, 0.0).unwrap())
}

/// Goes up along the line by small midpoint steps: a second integrator, so that the tracer is not judged by itself.
fn risen(field: &FieldModel, start: [f64; 3], rise_km: f64) -> [f64; 3] {
    const STEPS: u32 = 400;
    let along = |from: [f64; 3], at: [f64; 3], step: f64| {
        let b = field.field_ecef_nt(at);
        let outward = b[0] * at[0] + b[1] * at[1] + b[2] * at[2];
        let size = b.iter().map(|c| c * c).sum::<f64>().sqrt().copysign(outward);
        std::array::from_fn::<f64, 3, _>(|i| from[i] + step * b[i] / size)
    };
    let step = rise_km / f64::from(STEPS);
    (0..STEPS).fold(start, |here, _| along(here, along(here, here, step / 2.0), step))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, ..ProptestConfig::default() })]

    #[test]
    fn a_geodetic_place_survives_the_round_trip(lat in -90.0..90.0f64, lon in -180.0..180.0f64, h in -10.0..100_000.0f64) {
        let (lat2, lon2, h2) = geodetic_from_ecef_km(ecef_from_geodetic_km(lat, lon, h));
        prop_assert!((lat - lat2).abs() < ROUND_TRIP_DEG);
        prop_assert!(wrap_degrees_180(lon - lon2).abs() * lat.to_radians().cos() < ROUND_TRIP_DEG);
        prop_assert!((h - h2).abs() < ROUND_TRIP_KM);
    }

    #[test]
    fn what_a_sightline_reaches_is_seen_along_it(here in place(), alt in 0.0..90.0f64, az in 0.0..360.0f64, h in 80.0..1000.0f64) {
        let direction = Horizontal::new(alt, az);
        let point = Sightline::new(here, direction).at_height_km(h).unwrap();
        let (back, slant_km) = look_at(here, point.latitude_deg, point.longitude_deg, point.height_km);
        prop_assert!(back.separation_deg(direction) < SIGHT_ROUND_TRIP_DEG);
        prop_assert!((slant_km - point.slant_km).abs() < 1e-5);
        prop_assert!((point.height_km - h).abs() < 1e-5);
    }

    #[test]
    fn distance_is_the_same_both_ways_and_zero_only_at_home(a in place(), b in place()) {
        let (there, back) = (ground_distance_km(a, b), ground_distance_km(b, a));
        // A millimetre where the iteration settles; near the antipode both ways take the sphere.
        prop_assert!((there - back).abs() < 1e-6);
        prop_assert!((0.0..20_040.0).contains(&there));
        prop_assert!((0.0..360.0).contains(&bearing_deg(a, b)));
    }

    #[test]
    fn a_line_keeps_its_label_as_one_climbs(lat in 40.0..85.0f64, south in any::<bool>(), lon in -180.0..180.0f64, rise in 50.0..600.0f64) {
        let field = FieldModel::at_decimal_year(2026.0).unwrap();
        let lat = if south { -lat } else { lat };
        let low = trace(&field, lat, lon, 110.0).unwrap();
        let (lat2, lon2, h2) = geodetic_from_ecef_km(risen(&field, ecef_from_geodetic_km(lat, lon, 110.0), rise));
        let high = trace(&field, lat2, lon2, h2).unwrap();
        prop_assert!((low.model_lat_deg - high.model_lat_deg).abs() < SAME_LINE_DEG);
        let across = wrap_degrees_180(low.apex_lon_deg - high.apex_lon_deg) * low.model_lat_deg.to_radians().cos();
        prop_assert!(across.abs() < SAME_LINE_DEG);
        // Quasi-dipole latitude belongs to the point: on one line it falls with height.
        prop_assert!(high.qd_lat_deg.abs() < low.qd_lat_deg.abs());
    }

    #[test]
    fn the_three_latitudes_come_in_their_order(here in place(), h in 120.0..1000.0f64) {
        let field = FieldModel::at_decimal_year(1998.7).unwrap();
        let at = trace(&field, here.latitude_deg(), here.longitude_deg(), h).unwrap();
        let apex = at.apex_lat_deg.unwrap();
        prop_assert!(at.qd_lat_deg.abs() <= apex.abs() && apex.abs() <= at.model_lat_deg.abs());
        prop_assert!(at.apex_height_km >= h - 1e-6);
        let down = field.field(here.latitude_deg(), here.longitude_deg(), h).down_nt;
        prop_assert!(down * at.qd_lat_deg >= 0.0, "north is where the field points down");
    }

    #[test]
    fn the_magnetic_clock_goes_round_once_a_day(start in 1_000_000_000i64..1_880_000_000, lon in -180.0..180.0f64) {
        let at = Timestamp::from_second(start).unwrap();
        let field = FieldModel::at(at).unwrap();
        let hour = |hours: i64| MagneticClock::new(&field, at + SignedDuration::from_hours(hours)).mlt_h(lon);
        let mut sum_h = 0.0;
        for step in 0..24 {
            let advance_h = (hour(step + 1) - hour(step)).rem_euclid(24.0);
            // The dipole is tilted by 9 degrees, so the hours are uneven, but none runs backward.
            prop_assert!((0.7..1.4).contains(&advance_h), "{advance_h}");
            sum_h += advance_h;
        }
        // The Sun itself is up to half a minute early or late from day to day.
        prop_assert!((sum_h - 24.0).abs() < 0.03, "{sum_h}");
    }

    #[test]
    fn the_clock_and_its_inverse_agree(mlt_h in 0.0..24.0f64) {
        let at: Timestamp = "2026-03-20T22:00:00Z".parse().unwrap();
        let clock = MagneticClock::new(&FieldModel::at(at).unwrap(), at);
        let back_h = clock.mlt_h(clock.qd_longitude_deg(mlt_h));
        prop_assert!(wrap_degrees_180((back_h - mlt_h) * 15.0).abs() < ROUND_TRIP_DEG);
    }
}

#[test]
fn the_field_has_no_sources_in_the_air() {
    // Divergence by differences over 1 km; f64 leaves about 1e-7 nT/km of the 20 nT/km gradients.
    let field = FieldModel::at_decimal_year(2020.0).unwrap();
    for centre in [[4000.0, 3000.0, 4500.0], [100.0, -50.0, -6700.0], [-6500.0, 10.0, 300.0]] {
        let divergence: f64 = (0..3)
            .map(|axis| {
                let moved = |by: f64| {
                    let mut at = centre;
                    at[axis] += by;
                    field.field_ecef_nt(at)[axis]
                };
                (moved(0.5) - moved(-0.5)) / 1.0
            })
            .sum();
        assert!(divergence.abs() < 1e-4, "{divergence} nT/km at {centre:?}");
    }
}
