//! The outlook out of stored feeds: what an agency published becomes the answer, by command and over HTTP.

use job::{Conditions, ConditionsRequest, OutlookReport};

use crate::house::House;
use crate::program::{stderr, stdout};
use crate::running::serve_with;

/// Composed to the shape of NOAA's forecast since 2026: the evening of an invented night.
const KP_FORECAST: &str = r#"[
{"time_tag":"2026-11-14T12:00:00","kp":2.33,"observed":"observed","noaa_scale":null},
{"time_tag":"2026-11-14T15:00:00","kp":3.00,"observed":"estimated","noaa_scale":null},
{"time_tag":"2026-11-14T18:00:00","kp":5.67,"observed":"predicted","noaa_scale":"G2"},
{"time_tag":"2026-11-14T21:00:00","kp":6.00,"observed":"predicted","noaa_scale":"G2"},
{"time_tag":"2026-11-15T00:00:00","kp":4.33,"observed":"predicted","noaa_scale":null}]"#;
/// Composed to the shape of Locationforecast: clear until 20 UTC, then low cloud.
const CLOUD: &str = r#"{"type":"Feature","geometry":{"type":"Point","coordinates":[15.0,69.27,5]},
"properties":{"meta":{"updated_at":"2026-11-14T14:33:05Z","units":{"cloud_area_fraction":"%"}},"timeseries":[
{"time":"2026-11-14T15:00:00Z","data":{"instant":{"details":{"cloud_area_fraction":2.0,"cloud_area_fraction_high":0.0,
"cloud_area_fraction_low":2.0,"cloud_area_fraction_medium":0.0}},"next_6_hours":{}}},
{"time":"2026-11-14T20:00:00Z","data":{"instant":{"details":{"cloud_area_fraction":100.0,"cloud_area_fraction_high":0.0,
"cloud_area_fraction_low":100.0,"cloud_area_fraction_medium":0.0}},"next_6_hours":{}}},
{"time":"2026-11-15T02:00:00Z","data":{"instant":{"details":{"cloud_area_fraction":100.0}},"next_6_hours":{}}}]}}"#;
/// An airfield of the same coast under cloud while the forecast says clear.
const METAR: &str = r#"[{"icaoId":"XSKB","rawOb":"METAR XSKB 141550Z 21004KT 9999 OVC014 M03/M08 Q0998","lat":69.40,"lon":15.2,"elev":12}]"#;
const ASKED_AT: &str = "2026-11-14T16:00:00Z";
const PLACE: [&str; 4] = ["--lat", "69.27", "--lon", "15.0"];

/// A house in which the bodies above are stored.
fn house() -> House {
    let house = House::new("");
    let folder = house.path("bodies");
    std::fs::create_dir(&folder).unwrap();
    std::fs::write(folder.join("noaa_kp_forecast.json"), KP_FORECAST).unwrap();
    std::fs::write(folder.join("metno_locationforecast.json"), CLOUD).unwrap();
    std::fs::write(folder.join("metar.json"), METAR).unwrap();
    let output =
        house.feeds(&[&["pull", "--station", "XSKB", "--from", folder.to_str().unwrap()][..], &PLACE].concat());
    assert_eq!(output.status.code(), Some(0), "{}{}", stdout(&output), stderr(&output));
    house
}

fn outlook(house: &House, more: &[&str]) -> OutlookReport {
    let night = ["outlook", "--json", "--night", "2026-11-14", "--asked-at", ASKED_AT];
    let output = house.run(&[&night[..], &PLACE, more].concat());
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    serde_json::from_str(&stdout(&output)).unwrap()
}

#[test]
fn what_is_stored_drives_the_outlook_with_its_source_and_age() {
    let report = outlook(&house(), &[]);
    let activity = &report.request.activity;
    assert!(activity.source.contains("NOAA"), "{}", activity.source);
    let at = |time: &str| activity.at(time.parse().unwrap()).map(|interval| (interval.kp * 3.0).round());
    assert_eq!((at("2026-11-14T19:00:00Z"), at("2026-11-15T01:00:00Z")), (Some(17.0), Some(13.0)), "thirds of Kp");
    assert!(report.request.weather.source.contains("MET Norway"), "{}", report.request.weather.source);
    let weather = report.inputs.iter().find(|input| input.name == "Cloud and weather").unwrap();
    assert_eq!(weather.age_minutes.map(f64::round), Some(87.0));
    let best = report.windows[0].best_at;
    assert!(best < "2026-11-14T20:00:00Z".parse().unwrap(), "before the cloud comes: {best}");
    let seen = report.limits.iter().find(|limit| limit.contains("XSKB"));
    assert!(seen.is_some_and(|limit| limit.contains("0 tenths") && limit.contains("10")), "{:?}", report.limits);
}

/// Three hours of an invented wind that turned south, from the spacecraft in charge.
fn wind() -> (String, String) {
    let minutes =
        || (0..190).map(|minute| format!("2026-11-14T{:02}:{:02}:00", 12 + (48 + minute) / 60, (48 + minute) % 60));
    let field = minutes().map(|at| {
        format!(r#"{{"time_tag":"{at}","active":true,"source":"ACE","bt":6.0,"by_gsm":1.0,"bz_gsm":-4.0,"overall_quality":0}}"#)
    });
    let plasma = minutes().map(|at| {
        format!(r#"{{"time_tag":"{at}","active":true,"source":"ACE","proton_speed":480,"proton_density":5,"overall_quality":0}}"#)
    });
    let list = |rows: Vec<String>| format!("[{}]", rows.join(","));
    (list(field.collect()), list(plasma.collect()))
}

#[test]
fn the_wind_upstream_says_which_bz_would_change_the_verdict() {
    let house = house();
    let folder = house.path("wind");
    std::fs::create_dir(&folder).unwrap();
    let (field, plasma) = wind();
    std::fs::write(folder.join("noaa_rtsw_mag.json"), field).unwrap();
    std::fs::write(folder.join("noaa_rtsw_wind.json"), plasma).unwrap();
    assert_eq!(house.feeds(&["pull", "--from", folder.to_str().unwrap()]).status.code(), Some(0));
    // a place far from the oval, where the forecast is not enough
    let far = [
        "outlook",
        "--json",
        "--night",
        "2026-11-14",
        "--asked-at",
        ASKED_AT,
        "--lat",
        "52",
        "--lon",
        "10",
        "--bortle",
        "2",
    ];
    let output = house.run(&far);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let report: OutlookReport = serde_json::from_str(&stdout(&output)).unwrap();
    let upstream = report.request.upstream.unwrap();
    assert_eq!((upstream.speed_km_s, upstream.bz_nt), (480.0, -4.0));
    let change = report.would_change.iter().find(|line| line.starts_with("Bz at -")).unwrap();
    assert!(change.contains("480 km/s, Bz -4 nT 3 min ago") && change.contains("ACE"), "{change}");
}

#[test]
fn the_short_term_grid_is_set_beside_and_drives_nothing() {
    let house = house();
    let folder = house.path("grid");
    std::fs::create_dir(&folder).unwrap();
    let cell = |lon: i32, lat: i32| if lon == 15 && lat == 68 { 40 } else { i32::from(lat == 67) * 12 };
    let rows: Vec<String> =
        (0..360).flat_map(|lon| (-90..=90).map(move |lat| format!("[{lon},{lat},{}]", cell(lon, lat)))).collect();
    let times = r#""Observation Time":"2026-11-14T15:50:00Z","Forecast Time":"2026-11-14T16:48:00Z""#;
    let body =
        format!(r#"{{{times},"Data Format":"[Longitude, Latitude, Aurora]","coordinates":[{}]}}"#, rows.join(","));
    std::fs::write(folder.join("noaa_ovation.json"), body).unwrap();
    let before = outlook(&house, &[]);
    assert_eq!(house.feeds(&["pull", "--from", folder.to_str().unwrap()]).status.code(), Some(0));
    let report = outlook(&house, &[]);
    let note = report.inputs.iter().find(|input| input.name.starts_with("Short-term grid")).unwrap();
    assert!(note.source.contains("at most 40 of 100 on this meridian, at latitude 68"), "{}", note.source);
    assert!(note.source.contains("58 min ahead") && note.age_minutes == Some(10.0), "{note:?}");
    assert_eq!(before.chances, report.chances);
}

#[test]
fn what_is_given_by_hand_comes_before_what_is_stored() {
    let report = outlook(&house(), &["--kp", "2", "--cloud", "9"]);
    assert_eq!(report.request.activity.source, "given by hand");
    assert_eq!(report.request.weather.source, "given by hand");
    let report = outlook(&house(), &["--no-feeds"]);
    assert!(report.request.activity.intervals.is_empty() && report.request.weather.hours.is_empty());
}

#[test]
fn weather_from_a_file_is_told_by_its_content() {
    let house = house();
    let file = house.path("airfield.json");
    std::fs::write(&file, METAR).unwrap();
    let report = outlook(&house, &["--weather-file", file.to_str().unwrap()]);
    assert!(
        report.request.weather.source.contains("XSKB, 16 km away") || report.request.weather.source.contains("METAR")
    );
    std::fs::write(&file, "<html>busy</html>").unwrap();
    let night = ["outlook", "--night", "2026-11-14", "--weather-file", file.to_str().unwrap()];
    let output = house.run(&[&night[..], &PLACE].concat());
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("web page"), "{}", stderr(&output));
}

#[test]
fn nothing_stored_is_said_with_its_remedy() {
    let house = House::new("");
    assert_eq!(house.feeds(&["status"]).status.code(), Some(0), "makes the journal");
    let report = outlook(&house, &[]);
    let says = |words: &str| report.limits.iter().any(|limit| limit.contains(words));
    assert!(says("No space weather is stored") && says("No forecast of cloud is stored"), "{:?}", report.limits);
    assert_eq!(report.verdict.recommendation, job::Recommendation::CannotTell);
}

#[test]
fn the_page_gets_the_conditions_the_command_used() {
    let house = house();
    let by_command = outlook(&house, &[]).request;
    let server = serve_with(&["serve"], &house.path("journal.sqlite"));
    let request = ConditionsRequest {
        site: by_command.site.clone(),
        night: by_command.night,
        asked_at: by_command.asked_at,
        elsewhere: Vec::new(),
    };
    let mut answer = ureq::post(format!("{}api/conditions", server.address)).send_json(&request).unwrap();
    let conditions: Conditions = answer.body_mut().read_json().unwrap();
    assert_eq!(conditions.activity, by_command.activity);
    assert_eq!(conditions.weather, by_command.weather);
    assert_eq!(conditions.notes, by_command.input_notes);
}

/// Both ways of checking a picture ask the stored feeds what Kp was at the claimed time, and say whose word that is.
#[test]
fn a_submission_is_checked_by_the_kp_that_is_stored() {
    let house = house();
    let picture = concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo_frame.composed.jpg");
    let claim = ["--claim-time", "2026-11-14T19:00:00Z", "--claim-lat", "69.27", "--claim-lon", "15.0"];
    let row = |report: &serde_json::Value| {
        let checks = report["checks"].as_array().unwrap();
        checks.iter().find(|check| check["kind"] == "aurora").unwrap().clone()
    };
    let checked = house.run(&[&["desk", "check", "--json", picture], &claim[..]].concat());
    let checked = row(&serde_json::from_slice(&checked.stdout).unwrap());
    let text = checked["evidence"].to_string();
    assert!(text.contains("Kp by") && text.contains("NOAA") && text.contains("5.7 ± 1.0"), "{checked}");
    house.run(&[&["desk", "take", picture], &claim[..]].concat());
    let whole: serde_json::Value = serde_json::from_slice(&house.run(&["desk", "show", "1", "--json"]).stdout).unwrap();
    assert_eq!(row(&whole["evidence"]), checked);
    let without = house.run(&[&["desk", "check", "--json", "--no-feeds", picture], &claim[..]].concat());
    assert!(
        row(&serde_json::from_slice(&without.stdout).unwrap())["sentence"].as_str().unwrap().contains("no Kp is known")
    );
}
