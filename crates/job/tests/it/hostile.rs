//! Requests that cannot be answered get one clear sentence.

use job::{
    Activity, AlmanacRequest, CoordinateMethod, MagneticRequest, Recommendation, SkymapRequest, almanac, magnetic,
    outlook, skymap,
};
use quantity::GeoPosition;

use crate::sample::{request, site};

#[test]
fn a_kp_of_eleven_is_refused_with_its_field() {
    let error =
        outlook(request(site("x", 65.0, 20.0), "2026-03-14", "2026-03-14T12:00:00Z", &[4.0, 11.0])).unwrap_err();
    assert_eq!(error.field(), Some("activity.intervals[1].kp"));
    assert!(error.to_string().contains("11 is outside 0 to 9"), "{error}");
}

#[test]
fn a_night_without_activity_cannot_be_told() {
    let mut asked = request(site("x", 65.0, 20.0), "2026-03-14", "2026-03-14T12:00:00Z", &[]);
    asked.activity = Activity { source: "nothing given".to_owned(), issued_at: None, intervals: Vec::new() };
    let report = outlook(asked).unwrap();
    assert_eq!(report.verdict.recommendation, Recommendation::CannotTell);
    assert!(report.chances.is_none());
}

#[test]
fn dates_outside_the_field_model_are_refused_by_name() {
    let error = outlook(request(site("x", 65.0, 20.0), "2035-03-14", "2035-03-14T12:00:00Z", &[4.0])).unwrap_err();
    assert!(error.to_string().contains("2030"), "{error}");
    let position = GeoPosition::new(65.0, 20.0, 0.0).unwrap();
    let at = "1960-01-01T00:00:00Z".parse().unwrap();
    assert!(magnetic(MagneticRequest { at, position, height_km: 110.0, method: CoordinateMethod::Fitted }).is_err());
}

#[test]
fn poles_and_the_date_line_are_answered() {
    for (lat, lon) in [(90.0, 0.0), (-90.0, 0.0), (65.0, 180.0), (65.0, -180.0), (78.2, 15.6)] {
        let at = "2026-12-21T18:00:00Z".parse().unwrap();
        let map =
            skymap(SkymapRequest { site: site("x", lat, lon), at, kp: 3.0, f107: 120.0, step_deg: 15.0 }).unwrap();
        assert!(map.green_5577_kr.iter().all(|kr| kr.is_finite() && *kr >= 0.0));
        almanac(AlmanacRequest { at, position: GeoPosition::new(lat, lon, 0.0).unwrap() }).unwrap();
    }
}
