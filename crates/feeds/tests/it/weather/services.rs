//! Forecast services that answer in JSON. Whole answers are read in place; expected values were read from the files
//! with a plain JSON reader.

use feeds::FeedError;
use feeds::weather::{parse_locationforecast, parse_nws_gridpoints, parse_nws_points};
use proptest::prelude::*;
use serde_json::Value;

use super::{at, check_message, check_weather, hour, near};
use crate::samples::sample;

/// Composed to the shape of Locationforecast: by the hour, a missing hour, by six hours, the last an instant.
const LOCATIONFORECAST: &str = r#"{"type":"Feature","geometry":{"type":"Point","coordinates":[18.96,69.65,10]},
"properties":{"meta":{"updated_at":"2026-11-14T14:33:05Z","units":{"cloud_area_fraction":"%","air_temperature":"celsius",
"wind_speed":"m/s"}},"timeseries":[
{"time":"2026-11-14T15:00:00Z","data":{"instant":{"details":{"air_temperature":-6.8,"cloud_area_fraction":100.0,
"cloud_area_fraction_high":99.9,"cloud_area_fraction_low":40.6,"cloud_area_fraction_medium":62.9,"fog_area_fraction":3.1,
"dew_point_temperature":-9.9,"wind_from_direction":200.0,"wind_speed":4.0,"wind_speed_of_gust":8.1,
"wind_speed_percentile_10":2.9}},"next_1_hours":{"summary":{"symbol_code":"cloudy"}},"next_6_hours":{}}},
{"time":"2026-11-14T17:00:00Z","data":{"instant":{"details":{"air_temperature":-7.0,"cloud_area_fraction":50.0}},
"next_1_hours":{}}},
{"time":"2026-11-14T18:00:00Z","data":{"instant":{"details":{"air_temperature":-7.5}},"next_6_hours":{}}},
{"time":"2026-11-15T00:00:00Z","data":{"instant":{"details":{"air_temperature":-9.0,"cloud_area_fraction":null}}}}]}}"#;

/// Composed to the shape of the grid forecast.
const GRIDPOINTS: &str = r#"{"properties":{"updateTime":"2026-11-14T21:10:33+00:00",
"skyCover":{"uom":"wmoUnit:percent","values":[{"validTime":"2026-11-14T21:00:00+00:00/PT1H","value":70},
{"validTime":"2026-11-14T22:00:00+00:00/PT2H","value":null},{"validTime":"2026-11-15T00:00:00+00:00/P1DT6H","value":8}]},
"temperature":{"uom":"wmoUnit:degC","values":[{"validTime":"2026-11-14T21:00:00+00:00/PT4H","value":-22.5}]},
"windSpeed":{"uom":"wmoUnit:km_h-1","values":[{"validTime":"2026-11-14T21:00:00+00:00/PT1H","value":36}]},
"windGust":{"uom":"wmoUnit:km_h-1","values":[]},
"weather":{"values":[{"validTime":"2026-11-14T21:00:00+00:00/PT1H","value":[{"coverage":"patchy","weather":"freezing_fog"}]},
{"validTime":"2026-11-14T22:00:00+00:00/PT1H","value":[{"coverage":null,"weather":null}]}]}}}"#;

#[test]
fn steps_of_one_and_six_hours_hold_as_long_as_they_say() {
    let weather = parse_locationforecast(LOCATIONFORECAST.as_bytes(), "x").unwrap();
    weather.check().unwrap();
    let spans: Vec<String> = weather.hours.iter().map(|hour| format!("{} {}", hour.from, hour.to)).collect();
    assert_eq!(
        spans,
        [
            "2026-11-14T15:00:00Z 2026-11-14T16:00:00Z",
            "2026-11-14T17:00:00Z 2026-11-14T18:00:00Z",
            "2026-11-14T18:00:00Z 2026-11-15T00:00:00Z",
            "2026-11-15T00:00:00Z 2026-11-15T01:00:00Z"
        ]
    );
    assert!(weather.at(at("2026-11-14T16:30:00Z")).is_none(), "the missing hour stays a gap");
    assert_eq!(weather.issued_at, Some(at("2026-11-14T14:33:05Z")));
    assert!(weather.source.contains("MET Norway (CC BY 4.0)"));
}

#[test]
fn every_key_of_locationforecast_is_read_and_none_is_needed() {
    let weather = parse_locationforecast(LOCATIONFORECAST.as_bytes(), "x").unwrap();
    let first = &weather.hours[0];
    assert!(near(first.cloud.total, 1.0) && near(first.cloud.low, 0.406));
    assert!(near(first.cloud.medium, 0.629) && near(first.cloud.high, 0.999) && near(first.fog, 0.031));
    assert_eq!((first.temperature_c, first.dew_point_c), (Some(-6.8), Some(-9.9)));
    assert_eq!((first.wind_m_s, first.wind_from_deg, first.gust_m_s), (Some(4.0), Some(200.0), Some(8.1)));
    assert!(near(weather.hours[1].cloud.total, 0.5) && weather.hours[1].cloud.low.is_none());
    assert!(weather.hours[2].cloud.is_unknown() && weather.hours[3].cloud.is_unknown());
}

#[test]
fn a_value_no_sky_has_is_left_out_and_said_and_a_changed_unit_refused() {
    let weather = parse_locationforecast(LOCATIONFORECAST.replace("40.6", "140.6").as_bytes(), "x").unwrap();
    assert!(weather.hours[0].cloud.low.is_none());
    assert!(weather.source.contains("1 impossible value left out"), "{}", weather.source);
    let error = parse_locationforecast(LOCATIONFORECAST.replace("celsius", "kelvin").as_bytes(), "x").unwrap_err();
    assert_eq!(error.to_string(), "x: `air_temperature` is not in the unit it is documented in");
}

#[test]
fn a_captured_forecast_is_read_whole() {
    let name = "weather/metno_locationforecast_complete_51.5_-0.1.2020-07-20.json";
    let Some(bytes) = sample(name) else { return };
    let weather = parse_locationforecast(&bytes, name).unwrap();
    weather.check().unwrap();
    assert_eq!(weather.hours.len(), 82);
    assert_eq!(weather.issued_at, Some(at("2020-07-20T01:30:57Z")));
    let lengths: Vec<i64> = weather.hours.iter().map(|hour| hour.to.duration_since(hour.from).as_hours()).collect();
    assert_eq!(lengths.iter().filter(|length| **length == 1).count(), 56, "55 by the hour and the last");
    assert_eq!(lengths.iter().filter(|length| **length == 6).count(), 26);
    assert!(near(hour(&weather, "2020-07-20T13:30:00Z").cloud.high, 0.008));
    check_against_json(&bytes, &weather);
}

#[test]
fn the_keys_of_the_nordic_area_do_no_harm() {
    let name = "weather/metno_locationforecast_complete_69.65_18.96.nordic.composed.json";
    let Some(bytes) = sample(name) else { return };
    let weather = parse_locationforecast(&bytes, name).unwrap();
    weather.check().unwrap();
    assert!(near(weather.hours[0].cloud.medium, 0.629));
    assert_eq!(weather.hours[0].gust_m_s, Some(8.1));
    check_against_json(&bytes, &weather);
}

/// Every step of the file against a second, plain reading of it.
fn check_against_json(bytes: &[u8], weather: &job::Weather) {
    let value: Value = serde_json::from_slice(bytes).unwrap();
    let steps = value["properties"]["timeseries"].as_array().unwrap();
    assert_eq!(steps.len(), weather.hours.len());
    for (step, hour) in steps.iter().zip(&weather.hours) {
        let details = &step["data"]["instant"]["details"];
        assert_eq!(step["time"], hour.from.to_string());
        for (key, read) in [
            ("cloud_area_fraction", hour.cloud.total),
            ("cloud_area_fraction_low", hour.cloud.low),
            ("cloud_area_fraction_medium", hour.cloud.medium),
            ("cloud_area_fraction_high", hour.cloud.high),
            ("fog_area_fraction", hour.fog),
        ] {
            let expected = details[key].as_f64();
            assert_eq!(expected.is_some(), read.is_some(), "{key}");
            assert!(expected.is_none_or(|percent| near(read, percent / 100.0)), "{key}");
        }
        assert_eq!(details["wind_speed"].as_f64(), hour.wind_m_s);
        assert_eq!(details["air_temperature"].as_f64(), hour.temperature_c);
    }
}

#[test]
fn run_lengths_are_expanded_and_units_converted() {
    let weather = parse_nws_gridpoints(GRIDPOINTS.as_bytes(), "x").unwrap();
    weather.check().unwrap();
    let first = hour(&weather, "2026-11-14T21:30:00Z");
    assert!(near(first.cloud.total, 0.7) && first.cloud.low.is_none() && first.cloud.high.is_none());
    assert_eq!((first.temperature_c, first.wind_m_s, first.gust_m_s), (Some(-22.5), Some(10.0), None));
    assert!(near(first.fog, 0.25) && near(hour(&weather, "2026-11-14T22:30:00Z").fog, 0.0));
    assert!(hour(&weather, "2026-11-14T22:30:00Z").cloud.is_unknown(), "null is unknown, not clear");
    assert!(near(hour(&weather, "2026-11-16T05:30:00Z").cloud.total, 0.08), "P1DT6H from midnight");
    assert!(weather.at(at("2026-11-16T06:00:00Z")).is_none());
    assert!(weather.hours.iter().all(|hour| hour.to.duration_since(hour.from).as_hours() == 1));
    assert_eq!(weather.issued_at, Some(at("2026-11-14T21:10:33Z")));
}

#[test]
fn the_composed_grid_point_has_every_kind_of_duration() {
    let Some(bytes) = sample("weather/nws_gridpoints_AFG.durations.composed.json") else { return };
    let weather = parse_nws_gridpoints(&bytes, "AFG").unwrap();
    for (time, cover) in [
        ("2026-11-14T20:59:59Z", 0.95),
        ("2026-11-14T21:00:00Z", 0.70),
        ("2026-11-15T00:59:59Z", 0.35),
        ("2026-11-15T11:00:00Z", 0.08),
        ("2026-11-16T17:59:59Z", 0.60),
        ("2026-11-18T17:59:59Z", 1.00),
    ] {
        assert!(near(hour(&weather, time).cloud.total, cover), "{time}");
    }
    assert!(weather.at(at("2026-11-18T18:00:00Z")).is_none());
    let calm = hour(&weather, "2026-11-15T10:00:00Z");
    assert!((calm.wind_m_s.unwrap() - 1.0289).abs() < 1e-4, "3.704 km/h, two knots");
    assert_eq!(calm.wind_from_deg, Some(360.0));
}

#[test]
fn a_captured_grid_point_is_read_whole() {
    let Some(bytes) = sample("weather/nws_gridpoints_TAE_58_65.2022-02-04.json") else { return };
    let weather = parse_nws_gridpoints(&bytes, "TAE").unwrap();
    weather.check().unwrap();
    let value: Value = serde_json::from_slice(&bytes).unwrap();
    let sky = value["properties"]["skyCover"]["values"].as_array().unwrap();
    assert_eq!(sky.len(), 138);
    for entry in sky {
        let start = entry["validTime"].as_str().unwrap().split('/').next().unwrap();
        assert!(near(hour(&weather, start).cloud.total, entry["value"].as_f64().unwrap() / 100.0), "{start}");
    }
    assert!(weather.source.contains("public domain") && !weather.source.contains("impossible"), "{}", weather.source);
}

#[test]
fn a_point_leads_to_its_grid_and_nowhere_else() {
    let good = br#"{"properties":{"gridId":"TAE","timeZone":"America/New_York",
        "forecastGridData":"https://api.weather.gov/gridpoints/TAE/58,65"}}"#;
    let point = parse_nws_points(good, "x").unwrap();
    assert_eq!(point.forecast_grid_data, "https://api.weather.gov/gridpoints/TAE/58,65");
    assert_eq!(point.time_zone.as_deref(), Some("America/New_York"));
    for bad in ["http://api.weather.gov/x", "https://api.weather.gov.example/x", "https://api.weather.gov/a b"] {
        let text = format!(r#"{{"properties":{{"forecastGridData":"{bad}"}}}}"#);
        check_message(&parse_nws_points(text.as_bytes(), "x").unwrap_err());
    }
    let Some(bytes) = sample("weather/nws_points_30_-85.json") else { return };
    assert_eq!(
        parse_nws_points(&bytes, "x").unwrap().forecast_grid_data,
        "https://api.weather.gov/gridpoints/TAE/58,65"
    );
}

#[test]
fn a_problem_of_the_service_is_called_by_its_name() {
    let problem = br#"{"correlationId":"3ed8","title":"Forecast Grid Expired","status":503,
        "type":"https://api.weather.gov/problems/ForecastGridExpired"}"#;
    for error in [parse_nws_gridpoints(problem, "AFG").unwrap_err(), parse_nws_points(problem, "AFG").unwrap_err()] {
        assert_eq!(error.to_string(), "AFG: the service answers \"Forecast Grid Expired\" (503)");
        check_message(&error);
    }
    let Some(bytes) = sample("weather/nws_problem_503_grid_expired.json") else { return };
    assert!(matches!(parse_nws_gridpoints(&bytes, "x"), Err(FeedError::ServiceProblem { status: Some(503), .. })));
}

#[test]
fn what_is_no_weather_is_told_apart() {
    for (bytes, words) in [
        (&b""[..], "x is empty"),
        (b"<!DOCTYPE html><html>", "web page"),
        (&[0x1f, 0x8b, 8][..], "compressed"),
        (b"[1,2]", "list"),
        (b"{}", "`properties` is absent"),
        (b"{\"properties\":{}}", "absent"),
        (b"{\"properties\":", "breaks off"),
        (b"GRIB", "begins with"),
    ] {
        for error in [parse_locationforecast(bytes, "x").unwrap_err(), parse_nws_gridpoints(bytes, "x").unwrap_err()] {
            check_message(&error);
            assert!(error.to_string().contains(words), "{error}");
        }
    }
    let empty = br#"{"properties":{"skyCover":{"uom":"wmoUnit:percent","values":[]}}}"#;
    let error = parse_nws_gridpoints(empty, "x").unwrap_err();
    assert_eq!(error.to_string(), "x holds no value for any hour");
}

proptest! {
    #[test]
    fn cut_or_flipped_answers_are_read_or_refused(at in 0_usize..2000, bit in 0_u8..8, cut in any::<bool>()) {
        for text in [LOCATIONFORECAST, GRIDPOINTS] {
            let mut bytes = text.as_bytes().to_vec();
            let at = at % bytes.len();
            if cut { bytes.truncate(at) } else { bytes[at] ^= 1 << bit }
            check_weather(parse_locationforecast(&bytes, "x"));
            check_weather(parse_nws_gridpoints(&bytes, "x"));
            if let Err(error) = parse_nws_points(&bytes, "x") {
                check_message(&error);
            }
        }
    }
}
