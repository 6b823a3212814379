//! Input that nobody means but everybody sends.

use geomag::{
    ApexExpansion, ApexGrid, FieldModel, GeomagError, GridBounds, MagneticClock, Sightline, ground_distance_km,
    look_at, magnetic_zenith, subsolar_point, trace,
};
use jiff::Timestamp;
use quantity::{GeoPosition, Horizontal, wrap_degrees_180};

fn model() -> FieldModel {
    FieldModel::at_decimal_year(2026.0).unwrap()
}

#[test]
fn dates_outside_the_span_are_refused_with_the_span_and_the_remedy() {
    for year in [1974.99, 2030.01, -1e300, 1e300] {
        let error = FieldModel::at_decimal_year(year).unwrap_err();
        assert!(matches!(error, GeomagError::OutsideSpan { .. }));
        assert!(error.to_string().contains("1975 to 2030") && error.hint().contains("1975 to 2030"), "{error}");
        assert!(ApexExpansion::at_decimal_year(year).is_err());
    }
    for at in [Timestamp::MIN, Timestamp::MAX, "2031-01-01T00:00:00Z".parse().unwrap()] {
        assert!(matches!(FieldModel::at(at), Err(GeomagError::OutsideSpan { .. })));
    }
    assert!(matches!(FieldModel::at_decimal_year(f64::NAN), Err(GeomagError::NotFinite { .. })));
    assert!(FieldModel::at_decimal_year(1975.0).is_ok() && FieldModel::at_decimal_year(2030.0).is_ok());
}

#[test]
fn numbers_that_are_no_place_are_refused_by_name() {
    let field = model();
    let nan = f64::NAN;
    for (lat, lon, height_km) in [(nan, 0.0, 0.0), (0.0, nan, 0.0), (0.0, 0.0, nan), (0.0, f64::INFINITY, 0.0)] {
        assert!(matches!(trace(&field, lat, lon, height_km), Err(GeomagError::NotFinite { .. })));
    }
    for (lat, lon, height_km) in [(90.1, 0.0, 0.0), (0.0, 361.0, 0.0), (0.0, 0.0, -11.0), (0.0, 0.0, 1e9)] {
        let error = trace(&field, lat, lon, height_km).unwrap_err();
        assert!(matches!(error, GeomagError::OutOfRange { .. }));
        assert!(error.hint().starts_with("give "), "{}", error.hint());
    }
    assert!(field.field(nan, 0.0, 0.0).total_nt().is_nan());
}

#[test]
fn the_whole_globe_has_finite_coordinates_poles_date_line_and_equator_included() {
    let field = model();
    for latitude in (-90..=90).step_by(5) {
        for longitude in (-180..=180).step_by(15) {
            let (lat, lon) = (f64::from(latitude), f64::from(longitude));
            for height_km in [-0.4, 0.0, 110.0, 2000.0, 60_000.0] {
                let at = trace(&field, lat, lon, height_km).unwrap();
                assert!(at.qd_lat_deg.abs() <= 90.0 && at.model_lat_deg.abs() <= 90.0, "{lat} {lon} {height_km}");
                assert!(
                    at.qd_lon_deg.abs() <= 180.0 && at.apex_height_km >= height_km - 1e-6,
                    "{lat} {lon} {height_km}"
                );
                assert!(at.apex_lat_deg.is_some() || at.apex_height_km < 110.0);
            }
        }
    }
}

#[test]
fn every_meridian_tells_the_same_story_at_the_poles_and_at_the_date_line() {
    let field = model();
    // The same point by other numbers: rounding only.
    let same = |a: (f64, f64), b: (f64, f64)| {
        let [one, other] = [a, b].map(|(lat, lon)| trace(&field, lat, lon, 110.0).unwrap());
        assert!((one.qd_lat_deg - other.qd_lat_deg).abs() < 1e-6, "{a:?} {b:?}");
        assert!(wrap_degrees_180(one.qd_lon_deg - other.qd_lon_deg).abs() < 1e-4, "{a:?} {b:?}");
    };
    same((90.0, 0.0), (90.0, 137.0));
    same((-90.0, 0.0), (-90.0, -91.0));
    same((65.0, 180.0), (65.0, -180.0));
    same((65.0, -170.0), (65.0, 190.0));
}

#[test]
fn coordinates_run_smoothly_through_the_dip_equator() {
    let field = model();
    let mut before = trace(&field, 5.0, 30.0, 110.0).unwrap();
    let mut crossings = 0;
    for step in 1..=1000 {
        let at = trace(&field, 5.0 + 0.01 * f64::from(step), 30.0, 110.0).unwrap();
        // A hundredth of a degree of latitude moves the quasi-dipole latitude by about as much.
        assert!((at.qd_lat_deg - before.qd_lat_deg).abs() < 0.03, "step {step}: {at:?}");
        crossings += u32::from(at.qd_lat_deg >= 0.0 && before.qd_lat_deg < 0.0);
        before = at;
    }
    assert_eq!(crossings, 1);
}

#[test]
fn lines_near_the_magnetic_pole_are_closed_or_refused_but_never_wrong() {
    let field = model();
    for pole in [(80.789, -72.763), (85.8, 139.3), (82.5, -85.0), (-64.0, 135.8), (-80.789, 107.237), (-74.0, 126.0)] {
        for (north, east) in [(0.0, 0.0), (0.01, 0.0), (0.0, 0.05), (-0.3, 0.2)] {
            let at = trace(&field, pole.0 + north, pole.1 + east, 110.0).unwrap();
            assert!(
                at.qd_lat_deg.abs() > 75.0 && at.qd_lat_deg.is_sign_positive() == (pole.0 > 0.0),
                "{pole:?} {at:?}"
            );
        }
    }
}

#[test]
fn sightlines_that_lead_nowhere_say_so() {
    let here = GeoPosition::new(69.65, 18.96, 0.0).unwrap();
    let toward = |altitude_deg: f64| Sightline::new(here, Horizontal::new(altitude_deg, 10.0));
    assert!(toward(-5.0).at_height_km(110.0).is_none(), "through the ground");
    assert!(toward(45.0).at_height_km(-1.0).is_none(), "up is not down");
    assert!(toward(45.0).at_height_km(f64::NAN).is_none());
    assert!(toward(f64::NAN).at_height_km(110.0).is_none());
    assert!(toward(0.0).at_height_km(110.0).is_some(), "the horizon itself is free");
    // From an aircraft the horizon lies 3 degrees down.
    let aloft = GeoPosition::new(69.65, 18.96, 11_000.0).unwrap();
    let point = Sightline::new(aloft, Horizontal::new(-1.0, 10.0)).at_height_km(110.0).unwrap();
    // On a sphere of 6371 km: 6382 sin(1) + sqrt((6382 sin(1))^2 + 6481^2 - 6382^2) = 1245 km.
    assert!((point.slant_km - 1245.0).abs() < 10.0, "{}", point.slant_km);
    assert!(Sightline::new(aloft, Horizontal::new(-30.0, 10.0)).at_height_km(0.0).unwrap().slant_km < 23.0);
    let pole = GeoPosition::new(90.0, 0.0, 0.0).unwrap();
    let above = Sightline::new(pole, Horizontal::new(90.0, 0.0)).at_height_km(110.0).unwrap();
    assert!((above.latitude_deg - 90.0).abs() < 1e-6 && (above.slant_km - 110.0).abs() < 1e-6);
    assert!(look_at(here, f64::NAN, 0.0, 110.0).1.is_nan());
}

#[test]
fn distances_to_the_antipode_have_an_answer() {
    let here = GeoPosition::new(12.0, 30.0, 0.0).unwrap();
    for (lat, lon) in [(-12.0, -150.0), (-12.1, -149.8), (-11.95, -150.3)] {
        let far_km = ground_distance_km(here, GeoPosition::new(lat, lon, 0.0).unwrap());
        // Half of the longest and of the shortest way round the Earth.
        assert!((19_900.0..20_040.0).contains(&far_km), "{far_km}");
    }
    assert!(ground_distance_km(here, here).abs() < 1e-9);
}

#[test]
fn grids_of_nonsense_are_refused_before_any_work() {
    let field = model();
    let sane =
        GridBounds { south_deg: 60.0, north_deg: 70.0, west_deg: 0.0, east_deg: 10.0, low_km: 90.0, high_km: 300.0 };
    for bounds in [
        GridBounds { south_deg: f64::NAN, ..sane },
        GridBounds { south_deg: 75.0, ..sane },
        GridBounds { west_deg: 1e12, ..sane },
        GridBounds { high_km: 50.0, ..sane },
        GridBounds { high_km: f64::INFINITY, ..sane },
    ] {
        assert!(ApexGrid::build(&field, bounds, 0.005).is_err(), "{bounds:?}");
    }
    for tolerance_deg in [0.0, -1.0, f64::NAN] {
        assert!(ApexGrid::build(&field, sane, tolerance_deg).is_err());
    }
}

#[test]
fn the_sun_and_the_clock_bear_any_time() {
    let field = model();
    for at in [Timestamp::MIN, Timestamp::MAX, Timestamp::UNIX_EPOCH] {
        let sun = subsolar_point(at);
        // The obliquity of the series has drifted to 25 degrees at the ends of the calendar.
        assert!(sun.latitude_deg.abs() < 26.0 && sun.longitude_deg.abs() <= 180.0);
        assert!((0.0..24.0).contains(&MagneticClock::new(&field, at).mlt_h(-179.9)));
    }
}

#[test]
fn a_field_without_direction_has_some_zenith() {
    let none = geomag::FieldVector { north_nt: 0.0, east_nt: 0.0, down_nt: 0.0 };
    assert!(magnetic_zenith(&none).altitude_deg.is_finite());
}
