//! Sites and lines of sight read back by the `geojson` crate.

use ::geojson::{Feature, FeatureCollection, Value};
use draw::documents::geojson;
use proptest::prelude::*;
use quantity::{GeoPosition, Horizontal};

use super::{compared, names};

/// Mean radius of the Earth, km; the ellipsoid differs by up to 0.4 % from it.
const EARTH_RADIUS_KM: f64 = 6371.0;
/// Sphere for ellipsoid, and refraction left out: 0.1 degrees at 18 degrees up shift the point by under 0.7 %.
const DISTANCE_TOLERANCE: f64 = 0.012;
/// The same for a bearing, degrees.
const BEARING_TOLERANCE_DEG: f64 = 0.3;

fn features(text: &str) -> Vec<Feature> {
    let collection: FeatureCollection = text.parse().unwrap();
    collection.features
}

fn property<'a>(feature: &'a Feature, name: &str) -> &'a serde_json::Value {
    feature.property(name).unwrap()
}

fn geometry(feature: &Feature) -> &Value {
    &feature.geometry.as_ref().unwrap().value
}

/// Great-circle distance in km and first bearing in degrees between longitude-latitude pairs.
fn course(from: &[f64], to: &[f64]) -> (f64, f64) {
    let [lon_a, lat_a, lon_b, lat_b] = [from[0], from[1], to[0], to[1]].map(f64::to_radians);
    let turn = lon_b - lon_a;
    let (north, east) = (lat_a.cos() * lat_b.sin() - lat_a.sin() * lat_b.cos() * turn.cos(), turn.sin() * lat_b.cos());
    let along = lat_a.sin() * lat_b.sin() + lat_a.cos() * lat_b.cos() * turn.cos();
    (EARTH_RADIUS_KM * north.hypot(east).atan2(along), east.atan2(north).to_degrees())
}

#[test]
fn sites_and_their_lines_of_sight_come_back() {
    let all = features(&geojson(&compared()));
    let (sites, lines): (Vec<_>, Vec<_>) = all.iter().partition(|f| matches!(geometry(f), Value::Point(_)));
    let ranks: Vec<_> = sites.iter().map(|f| (property(f, "rank").as_u64(), property(f, "name").as_str())).collect();
    assert_eq!(
        ranks,
        [(Some(1), Some("Marrow Head")), (Some(2), Some("Skerrow Bay")), (Some(3), Some("Ternholm Lake"))]
    );
    let Value::Point(bay) = geometry(sites[1]) else { panic!("a point") };
    assert_eq!(bay, &[15.1, 69.2], "longitude first");
    assert!((property(sites[1], "eye_sees_fraction").as_f64().unwrap() - 0.4).abs() < 1e-9);
    assert_eq!(property(sites[0], "drive_minutes").as_f64(), Some(45.0));
    assert!(property(sites[2], "window_from_utc").is_null());
    // a site without a window still has a best moment
    assert_eq!(lines.len(), 3);
}

#[test]
fn the_line_of_sight_ends_under_where_it_meets_110_km() {
    let all = features(&geojson(&compared()));
    let line = all.iter().find(|f| matches!(geometry(f), Value::LineString(_))).unwrap();
    let Value::LineString(points) = geometry(line) else { panic!("a line") };
    let (km, bearing) = course(&points[0], points.last().unwrap());
    // a sphere: cos(altitude + angle at the centre) = R cos(altitude) / (R + 110)
    let altitude = 18.0f64.to_radians();
    let angle = (EARTH_RADIUS_KM * altitude.cos() / (EARTH_RADIUS_KM + 110.0)).acos() - altitude;
    let wanted_km = EARTH_RADIUS_KM * angle;
    assert!((km / wanted_km - 1.0).abs() < DISTANCE_TOLERANCE, "{km} km for {wanted_km}");
    assert!((bearing + 10.0).abs() < BEARING_TOLERANCE_DEG, "{bearing} for azimuth 350");
    assert!((property(line, "ground_distance_km").as_f64().unwrap() / km - 1.0).abs() < DISTANCE_TOLERANCE);
    assert_eq!(property(line, "emission_height_km").as_f64(), Some(110.0));
    // it leaves the site and goes on in short pieces
    assert!(points.windows(2).all(|pair| course(&pair[0], &pair[1]).0 < 51.0), "{points:?}");
}

#[test]
fn a_report_without_activity_has_sites_and_no_lines() {
    let all = features(&geojson(&crate::sample::moonlit_without_activity().outlook()));
    assert_eq!(all.len(), 1);
    assert!(property(&all[0], "rank").is_null());
}

proptest! {
    #[test]
    fn positions_are_places_wherever_the_site_is(
        latitude_deg in -90.0..=90.0f64,
        longitude_deg in -180.0..=180.0f64,
        altitude_deg in -5.0..=90.0f64,
        azimuth_deg in 0.0..360.0f64,
    ) {
        let mut report = crate::sample::normal().outlook();
        report.request.site.position = GeoPosition::new(latitude_deg, longitude_deg, 20.0).unwrap();
        for patch in report.steps.iter_mut().filter_map(|step| step.brightest.as_mut()) {
            patch.direction = Horizontal::new(altitude_deg, azimuth_deg);
        }
        let all = features(&geojson(&report));
        for feature in &all {
            let parts: Vec<Vec<Vec<f64>>> = match geometry(feature) {
                Value::Point(point) => vec![vec![point.clone()]],
                Value::LineString(line) => vec![line.clone()],
                Value::MultiLineString(lines) => lines.clone(),
                other => return Err(TestCaseError::fail(format!("{other:?}"))),
            };
            for part in &parts {
                prop_assert!(matches!(geometry(feature), Value::Point(_)) || part.len() >= 2);
                for point in part {
                    prop_assert!(point[0].abs() <= 180.0 && point[1].abs() <= 90.0, "{point:?}");
                }
                for pair in part.windows(2) {
                    // within 2 degrees of a pole a piece may turn by more in longitude
                    let polar = pair.iter().any(|point| point[1].abs() > 88.0);
                    prop_assert!(polar || (pair[0][0] - pair[1][0]).abs() < 90.0, "{pair:?} is not cut");
                }
            }
        }
    }

    #[test]
    fn any_name_stays_a_name(name in ".{0,120}") {
        let mut report = compared();
        report.ranking[1].site.name.clone_from(&name);
        let text = geojson(&report);
        let all = features(&text);
        prop_assert!(all.iter().any(|f| property(f, "what") == "site" && property(f, "name") == &names::as_shown(&name)));
        prop_assert!(!text.chars().any(|c| c.is_control() && c != '\n'));
    }
}
