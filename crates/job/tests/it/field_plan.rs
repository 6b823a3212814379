//! What goes along from an outlook, against the verbs asked by themselves; and where a line of sight ends on the map.

use job::{AskedBrightness, Orientation, OutlookReport, WatchWindow, field_plan, ground_track, leave_at, outlook};
use proptest::prelude::*;
use quantity::{GeoPosition, Horizontal};

use crate::sample::{request, site};

fn answered(latitude_deg: f64, night: &str, first: &str, kp: &[f64]) -> OutlookReport {
    outlook(request(site("Bay", latitude_deg, 16.0), night, first, kp)).unwrap()
}

#[test]
fn a_plan_is_what_the_verbs_say_of_the_best_moment() {
    let report = answered(69.0, "2026-03-14", "2026-03-14T12:00:00Z", &[4.0; 8]);
    let plan = field_plan(&report).unwrap();
    assert_eq!(plan.at, report.windows[0].best_at);
    let step = report.steps.iter().find(|step| step.at == plan.at).unwrap();
    let arc = step.brightest.as_ref().unwrap().brightest_arc_kr;
    let (sky, frame, settings) = (plan.sky.unwrap(), plan.stand.unwrap(), plan.expose.unwrap());
    assert_eq!(sky.request.at, plan.at);
    assert_eq!(frame.pointing, frame.suggestion.pointing);
    assert_eq!(
        settings.request.brightness,
        AskedBrightness::Given { green_5577_kr: arc.value, low_kr: Some(arc.low), high_kr: Some(arc.high) }
    );
    assert_eq!(settings.request.pointing, Some(frame.pointing));
    // the same sky seen by two verbs: the outlook's best direction is among the brightest of the map
    assert!((sky.brightest_mean_kr.green_5577_kr / step.brightest.as_ref().unwrap().mean_kr.green_5577_kr) > 0.8);
    assert!(matches!(frame.pointing.orientation, Orientation::Landscape | Orientation::Portrait));
    // IGRF-14 at 69 N, 16 E in March 2026: NOAA's and BGS's calculators give 8 to 9 degrees east (from memory)
    assert!((7.0..10.0).contains(&plan.declination_deg), "{}", plan.declination_deg);
}

#[test]
fn a_night_without_light_has_a_moment_and_nothing_else() {
    // midsummer: the sun does not set
    let bright = field_plan(&answered(69.0, "2026-06-21", "2026-06-21T12:00:00Z", &[5.0; 8])).unwrap();
    assert!(bright.sky.is_none() && bright.stand.is_none() && bright.expose.is_none());
    let unknown = field_plan(&answered(69.0, "2026-03-14", "2026-03-14T12:00:00Z", &[])).unwrap();
    assert!(unknown.sky.is_none() && unknown.expose.is_none());
    // mean midnight at 16 degrees east is 22:56 UTC
    assert!(unknown.at.to_string().starts_with("2026-03-14T2"), "{}", unknown.at);
    let nothing = OutlookReport {
        steps: Vec::new(),
        windows: Vec::new(),
        ..answered(50.0, "2026-03-14", "2026-03-14T12:00:00Z", &[])
    };
    assert!(field_plan(&nothing).unwrap_err().to_string().contains("steps"));
}

#[test]
fn plans_hold_at_every_latitude_and_activity() {
    for latitude_deg in [-78.0, -46.0, 30.0, 57.0, 66.0, 78.0, 89.9] {
        for kp in [0.0, 5.0, 9.0] {
            let night = if latitude_deg > 0.0 { "2026-12-14" } else { "2026-06-14" };
            let report = answered(latitude_deg, night, &format!("{night}T09:00:00Z"), &[kp; 12]);
            let plan = field_plan(&report).unwrap();
            let settings = plan.expose.map_or(3, |expose| expose.settings.len());
            assert!(settings >= 3, "{latitude_deg}, Kp {kp}: {settings} settings");
        }
    }
}

#[test]
fn leaving_counts_the_road_and_setting_up() {
    let report = answered(69.0, "2026-03-14", "2026-03-14T12:00:00Z", &[4.0; 8]);
    let window: &WatchWindow = &report.windows[0];
    let minutes = |drive_minutes| {
        let site = job::Site { drive_minutes, ..report.request.site.clone() };
        (window.from.as_second() - leave_at(&site, window).as_second()) / 60
    };
    assert_eq!([Some(54.2), Some(0.0), None].map(minutes), [85, 30, 60]);
}

#[test]
fn a_line_straight_up_ends_above_the_site() {
    let bay = GeoPosition::new(69.0, 16.0, 0.0).unwrap();
    let up = ground_track(bay, Horizontal::new(90.0, 0.0)).unwrap();
    assert!(up.ground_distance_km < 0.01 && (up.slant_km - 110.0).abs() < 0.01, "{up:?}");
    assert!(ground_track(bay, Horizontal::new(-5.0, 0.0)).is_none());
    assert!(ground_track(bay, Horizontal::new(f64::NAN, 0.0)).is_none());
}

proptest! {
    #[test]
    fn lower_is_farther_and_points_lie_on_the_way(
        latitude_deg in -85.0..85.0f64,
        altitude_deg in 1.0..80.0f64,
        azimuth_deg in 0.0..360.0f64,
    ) {
        let bay = GeoPosition::new(latitude_deg, 16.0, 0.0).unwrap();
        let line = ground_track(bay, Horizontal::new(altitude_deg, azimuth_deg)).unwrap();
        let higher = ground_track(bay, Horizontal::new(altitude_deg + 1.0, azimuth_deg)).unwrap();
        prop_assert!(line.ground_distance_km > higher.ground_distance_km);
        prop_assert!(line.points.len() >= 2);
        let along: Vec<f64> = line.points.iter().map(|point| geomag::ground_distance_km(bay, *point)).collect();
        prop_assert!(along.windows(2).all(|pair| pair[0] < pair[1]), "{along:?}");
        // the first bearing is the azimuth, to the difference between a normal section and a great circle
        let bearing = geomag::bearing_deg(bay, *line.points.last().unwrap());
        prop_assert!(quantity::wrap_degrees_180(bearing - azimuth_deg).abs() < 0.3, "{bearing} for {azimuth_deg}");
    }
}
