//! Grids and batches against tracing each point.

use geomag::{
    ApexGrid, DatedPoint, FieldModel, GridBounds, MagneticClock, MagneticCoordinates, answers_of_dated, coordinates_of,
    coordinates_of_dated, trace,
};
use jiff::Timestamp;
use quantity::{angular_separation_deg, wrap_degrees_180};

use crate::table::Errors;

/// What batches and grids promise, degrees of arc.
const PROMISE_DEG: f64 = 0.005;

/// Evenly scattered numbers in 0..1 for index and axis: multiples of irrational numbers.
fn scattered(index: u32, axis: f64) -> f64 {
    (f64::from(index) * (0.618_033_988_75 + 0.137_21 * axis)).fract()
}

fn arc_deg(a: &MagneticCoordinates, b: &MagneticCoordinates) -> f64 {
    angular_separation_deg(vector(a), vector(b)).max((a.model_lat_deg - b.model_lat_deg).abs())
}

fn vector(c: &MagneticCoordinates) -> [f64; 3] {
    let (sin_lat, cos_lat) = c.qd_lat_deg.to_radians().sin_cos();
    let (sin_lon, cos_lon) = c.qd_lon_deg.to_radians().sin_cos();
    [cos_lat * cos_lon, cos_lat * sin_lon, sin_lat]
}

fn bounds(south_deg: f64, north_deg: f64, west_deg: f64, east_deg: f64) -> GridBounds {
    GridBounds { south_deg, north_deg, west_deg, east_deg, low_km: 80.0, high_km: 500.0 }
}

#[test]
fn a_grid_keeps_its_bound_between_its_nodes_everywhere_on_earth() {
    let field = FieldModel::at_decimal_year(2026.3).unwrap();
    let regions = [
        ("Scandinavia", bounds(60.0, 80.0, 10.0, 30.0)),
        ("north pole", bounds(75.0, 90.0, -180.0, 180.0)),
        ("date line", bounds(55.0, 75.0, 170.0, -170.0)),
        ("magnetic south", bounds(-75.0, -55.0, 130.0, 150.0)),
        ("South Atlantic", bounds(-35.0, -15.0, -50.0, -30.0)),
    ];
    for (name, region) in regions {
        let grid = ApexGrid::build(&field, region, PROMISE_DEG).unwrap();
        assert!(grid.error_bound_deg() <= PROMISE_DEG);
        let width = (region.east_deg - region.west_deg).rem_euclid(360.0).max(1e-9);
        let width = if width < 1.0 { 360.0 } else { width };
        let mut errors = Errors::default();
        for i in 0..400 {
            let lat = region.south_deg + (region.north_deg - region.south_deg) * scattered(i, 0.0);
            let lon = wrap_degrees_180(region.west_deg + width * scattered(i, 1.0));
            let height_km = 80.0 + 420.0 * scattered(i, 2.0);
            let quick = grid.at(lat, lon, height_km).unwrap();
            let exact = trace(&field, lat, lon, height_km).unwrap();
            errors.add(angular_separation_deg(vector(&quick), vector(&exact)), format!("{lat} {lon} {height_km}"));
        }
        // The tracer's own rounding of 0.0005 degrees may come on top.
        errors.assert_within(name, grid.error_bound_deg() + 0.0005);
    }
}

#[test]
fn a_layer_and_the_corners_belong_to_the_grid_and_nothing_else_does() {
    let field = FieldModel::at_decimal_year(2026.3).unwrap();
    let layer = GridBounds { low_km: 110.0, high_km: 110.0, ..bounds(60.0, 70.0, 170.0, -170.0) };
    let grid = ApexGrid::build(&field, layer, PROMISE_DEG).unwrap();
    for (lat, lon) in [(60.0, 170.0), (70.0, -170.0), (65.0, 180.0), (65.0, -180.0), (60.0, 190.0)] {
        assert!(grid.at(lat, lon, 110.0).is_some(), "{lat} {lon}");
    }
    for (lat, lon, height_km) in [
        (59.9, 175.0, 110.0),
        (65.0, 169.9, 110.0),
        (65.0, -169.9, 110.0),
        (65.0, 175.0, 111.0),
        (f64::NAN, 175.0, 110.0),
    ] {
        assert!(grid.at(lat, lon, height_km).is_none(), "{lat} {lon} {height_km}");
    }
}

#[test]
fn a_crowd_of_points_gets_what_each_would_get_alone() {
    let field = FieldModel::at_decimal_year(2024.4).unwrap();
    let mut points: Vec<(f64, f64, f64)> = (0..3000)
        .map(|i| {
            (
                62.0 + 12.0 * scattered(i, 0.0),
                wrap_degrees_180(172.0 + 16.0 * scattered(i, 1.0)),
                90.0 + 300.0 * scattered(i, 2.0),
            )
        })
        .collect();
    points.push((-70.0, 100.0, 110.0));
    points.insert(7, (95.0, 0.0, 110.0));
    let answers = coordinates_of(&field, &points);
    assert_eq!(answers.len(), points.len());
    let mut errors = Errors::default();
    for (answer, &(lat, lon, height_km)) in answers.iter().zip(&points).step_by(7) {
        let alone = trace(&field, lat, lon, height_km);
        match (answer, &alone) {
            (Ok(a), Ok(b)) => errors.add(arc_deg(a, b), format!("{lat} {lon} {height_km}")),
            (a, b) => assert_eq!(a, b),
        }
    }
    errors.assert_within("batch, degrees", PROMISE_DEG);
    assert!(answers[7].is_err(), "a latitude of 95 is no place");
}

fn dated_crowd() -> Vec<DatedPoint> {
    // Three years over one region, so that each year has its own pair of grids, and a few far away.
    (0..6000)
        .map(|i| {
            #[expect(clippy::cast_possible_truncation, reason = "seconds within three years")]
            let second = 1_672_531_200 + (f64::from(i) / 6000.0 * 3.0 * 365.25 * 86_400.0) as i64;
            DatedPoint {
                instant: Timestamp::from_second(second).unwrap(),
                latitude_deg: if i % 500 == 0 { -60.0 } else { 61.0 + 8.0 * scattered(i, 0.0) },
                longitude_deg: 11.0 + 8.0 * scattered(i, 1.0),
                height_km: 100.0 + 150.0 * scattered(i, 2.0),
            }
        })
        .collect()
}

#[test]
fn points_of_many_dates_get_what_each_would_get_alone() {
    let points = dated_crowd();
    let mut errors = Errors::default();
    for (answer, point) in answers_of_dated(&points).into_iter().zip(&points).step_by(17) {
        let answer = answer.unwrap();
        let field = FieldModel::at(point.instant).unwrap();
        let alone = trace(&field, point.latitude_deg, point.longitude_deg, point.height_km).unwrap();
        errors.add(arc_deg(&answer.coordinates, &alone), format!("{point:?}"));
        assert_eq!(answer.field, field.field(point.latitude_deg, point.longitude_deg, point.height_km));
        let clock = MagneticClock::new(&field, point.instant);
        assert!(wrap_degrees_180((answer.mlt_h - clock.mlt_h(alone.qd_lon_deg)) * 15.0).abs() < 0.05);
    }
    errors.assert_within("dated batch, degrees", PROMISE_DEG);
}

#[test]
fn one_bad_date_does_not_hold_up_the_others() {
    let mut points = dated_crowd();
    points.truncate(5);
    points[2].instant = "1950-01-01T00:00:00Z".parse().unwrap();
    points[3].height_km = f64::NAN;
    let answers = coordinates_of_dated(&points);
    assert_eq!(answers.iter().map(Result::is_ok).collect::<Vec<_>>(), [true, true, false, false, true]);
    assert!(answers[2].as_ref().unwrap_err().to_string().contains("1975"));
}
