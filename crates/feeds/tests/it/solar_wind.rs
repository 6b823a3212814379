//! The solar wind in every shape, against captured and composed tables.

use feeds::FeedError;
use feeds::solar_wind::{
    Arrival, FieldSample, Gap, Measurements, PlasmaSample, Sample, SolarWind, ballistic_delay, parse_field,
    parse_plasma, parse_propagated,
};
use jiff::SignedDuration;
use quantity::Timestamp;
use serde_json::{Value, json};

use crate::samples::sample;

/// Composed: newest first, three spacecraft, tags with seconds, flags of -9999, two switches, nulls, bad quality, a gap.
pub(crate) const FIELD: &str = include_str!("../data/rtsw_mag_1m.three-spacecraft.composed.json");
/// Of the same minutes.
pub(crate) const PLASMA: &str = include_str!("../data/rtsw_wind_1m.three-spacecraft.composed.json");
/// Worked out from both by the script that composed them.
const EXPECTED: &str = include_str!("../data/rtsw_1m.three-spacecraft.composed.expected.json");
/// Two rows as published in July 2026, and a tail as it often is.
pub(crate) const PROPAGATED: &str = r#"[["time_tag","speed","density","temperature","bx","by","bz","bt","vx","vy","vz","propagated_time_tag"],
["2026-07-31T01:15:00Z",321.9,2.58,64325,0.47,2.4,3.13,3.97,-321.1,11.6,-19.1,"2026-07-31T02:19:12Z"],
["2026-07-31T01:17:00Z",321.6,2.75,68239,0.46,2.09,3.22,3.86,-320.7,12.7,-20.2,"2026-07-31T02:21:17Z"],
["2026-07-31T01:18:00Z",null,null,null,0.46,2.09,3.22,3.86,null,null,null,null]]"#;

/// Printed to two decimals.
const PRINTED: f64 = 1e-9;

fn at(text: &str) -> Timestamp {
    let text = if text.ends_with('Z') { text.to_owned() } else { format!("{text}Z") };
    text.parse().unwrap()
}

fn field(text: &str) -> Measurements<FieldSample> {
    parse_field(text.as_bytes(), "mag.json").unwrap()
}

fn plasma(text: &str) -> Measurements<PlasmaSample> {
    parse_plasma(text.as_bytes(), "wind.json").unwrap()
}

#[test]
fn three_spacecraft_come_to_what_the_composer_worked_out() {
    let expected: Value = serde_json::from_str(EXPECTED).unwrap();
    let (field, plasma) = (field(FIELD), plasma(PLASMA));
    assert_eq!(json!(field.counts.rows), expected["rows"]);
    assert_eq!(json!(field.samples.len() + field.missing.len()), expected["active_good_rows"]);
    assert_eq!(json!(field.missing.len()), expected["null_bz_active"]);
    assert_eq!((field.counts.inactive, field.counts.doubtful, field.counts.repeated), (155, 2, 0));
    let newest = field.newest().unwrap();
    let said = &expected["newest_active_good_with_bz"];
    assert_eq!(
        (newest.at, newest.spacecraft.as_deref()),
        (at(said["time_tag"].as_str().unwrap()), said["source"].as_str())
    );
    assert!((newest.bz_nt - said["bz_gsm"].as_f64().unwrap()).abs() < PRINTED);
    assert!((newest.bt_nt - said["bt"].as_f64().unwrap()).abs() < PRINTED);
    let newest = plasma.newest().unwrap();
    let said = &expected["wind_newest_active"];
    assert_eq!(
        (newest.at, newest.spacecraft.as_deref()),
        (at(said["time_tag"].as_str().unwrap()), said["source"].as_str())
    );
    assert!((newest.speed_km_s - said["proton_speed"].as_f64().unwrap()).abs() < PRINTED);
    assert!((newest.density_cm3.unwrap() - said["proton_density"].as_f64().unwrap()).abs() < PRINTED);
    let first = field.samples.first().unwrap();
    let mut switches = vec![(first.at, first.spacecraft.clone())];
    switches.extend(field.switches().into_iter().map(|switch| (switch.at, switch.to)));
    let said = |entry: &Value| (at(entry[0].as_str().unwrap()), entry[1].as_str().map(str::to_owned));
    assert_eq!(switches, expected["source_switches"].as_array().unwrap().iter().map(said).collect::<Vec<_>>());
    // the composer counted rows without a value as rows; a value that is not there is a gap all the same
    let said = |entry: &Value| Gap { from: at(entry[0].as_str().unwrap()), to: at(entry[1].as_str().unwrap()) };
    let mut gaps: Vec<Gap> =
        expected["gaps_over_60s_between_active_good_rows"].as_array().unwrap().iter().map(said).collect();
    gaps.insert(1, Gap { from: at("2026-09-12T20:49:00"), to: at("2026-09-12T20:53:00") });
    assert_eq!(field.gaps(), gaps);
}

#[test]
fn joined_samples_name_both_spacecraft_and_the_time_of_arrival() {
    let wind = SolarWind::join(&field(FIELD), &plasma(PLASMA));
    assert_eq!((wind.samples.len(), wind.without_plasma), (90, 0));
    assert_eq!(wind.spacecraft(), ["SOLAR1", "ACE"]);
    let newest = wind.newest().unwrap();
    assert_eq!(newest.arrives_at.duration_since(newest.at), SignedDuration::from_secs(2784));
    assert_eq!(newest.arrival, Arrival::Ballistic);
    assert!(wind.samples.windows(2).all(|pair| pair[0].at < pair[1].at));
    let to: Vec<String> = wind.switches().into_iter().filter_map(|switch| switch.to).collect();
    assert_eq!(to, ["ACE", "SOLAR1"]);
    assert_eq!(wind.gaps().len(), 3);
}

#[test]
fn plasma_further_than_five_minutes_is_not_borrowed() {
    let field = field(FIELD);
    let rows: Vec<Value> = serde_json::from_str(PLASMA).unwrap();
    let late: Vec<&Value> = rows.iter().filter(|row| row["time_tag"].as_str().unwrap() >= "2026-09-12T21:30").collect();
    let wind = SolarWind::join(&field, &plasma(&json!(late).to_string()));
    // the field has 21:24 and then 21:30; the plasma begins at 21:30
    assert_eq!(wind.samples.first().unwrap().at, at("2026-09-12T21:30:00"));
    assert_eq!(wind.samples.len() + wind.without_plasma, field.samples.len());
}

#[test]
fn the_order_of_rows_does_not_matter() {
    let mut rows: Vec<Value> = serde_json::from_str(FIELD).unwrap();
    rows.reverse();
    rows.rotate_left(77);
    assert_eq!(field(&json!(rows).to_string()).samples, field(FIELD).samples);
}

#[test]
fn numbers_as_text_bare_nan_and_booleans_as_text_are_read() {
    let good = r#"[{"time_tag":"2026-08-07T01:24:00","active":"true","source":"ACE","bt":"3.0","by_gsm":"1.0","bz_gsm":"-2.0","overall_quality":"0"},
        {"time_tag":"2026-08-07T01:25:00","active":true,"source":"ACE","bt":NaN,"by_gsm":NaN,"bz_gsm":NaN,"overall_quality":0}]"#;
    let read = field(good);
    assert_eq!((read.samples.len(), read.missing.len(), read.rejected.len()), (1, 1, 0));
    assert!((read.samples[0].bz_nt + 2.0).abs() < PRINTED);
}

#[test]
fn flags_that_are_not_reported_are_no_failure_and_bad_ones_are() {
    let row = |quality: &str| {
        format!(
            r#"[{{"time_tag":"2026-08-07T01:24:00","active":true,"source":"SOLAR1","bt":3.0,"by_gsm":1.0,"bz_gsm":-2.0,
            "max_data_flag":-9999,"overall_quality":{quality}}}]"#
        )
    };
    for reported in ["0", "0.0", "null", "-9999"] {
        assert_eq!(field(&row(reported)).samples.len(), 1, "{reported}");
    }
    for bad in ["1", "2", "-1", "\"1\""] {
        let error = parse_field(row(bad).as_bytes(), "mag").unwrap_err();
        assert!(matches!(error, FeedError::NoSamples { .. }), "{bad}: {error}");
        assert!(error.to_string().contains("1 of doubtful quality"), "{error}");
    }
}

#[test]
fn a_table_of_spacecraft_not_in_charge_says_so() {
    let inactive = FIELD.replace("\"active\": true", "\"active\": false");
    let error = parse_field(inactive.as_bytes(), "mag").unwrap_err();
    assert!(error.to_string().contains("250 of spacecraft not in charge"), "{error}");
    assert!(!error.hint().is_empty());
}

#[test]
fn impossible_values_cost_their_own_row() {
    let first = "\"bt\": 3.65, \"bx_gse\": -2.93";
    assert!(FIELD.contains(first));
    for bad in ["250.0", "-1.0", "0.1", "1e300", "\"x\"", "[1]", "true"] {
        let text = FIELD.replacen(first, &format!("\"bt\": {bad}, \"bx_gse\": -2.93"), 1);
        let read = field(&text);
        assert_eq!((read.samples.len(), read.rejected.len()), (89, 1), "{bad}");
        assert!(!read.rejected[0].to_string().contains('\n'));
    }
    let read = plasma(&PLASMA.replacen("\"proton_speed\": 506.4", "\"proton_speed\": 99.0", 1));
    assert_eq!((read.samples.len(), read.rejected.len(), read.rejected[0].field), (92, 1, "speed"));
    let read = plasma(&PLASMA.replacen("\"proton_density\": 3.06", "\"proton_density\": -3.06", 1));
    assert_eq!((read.samples.len(), read.rejected.len(), read.rejected[0].field), (92, 1, "density"));
    let read = plasma(&PLASMA.replacen("\"proton_density\": 3.06", "\"proton_density\": null", 1));
    assert_eq!(read.newest().unwrap().density_cm3, None);
}

#[test]
fn a_key_that_is_gone_is_loud() {
    let error = |text: &str| parse_field(text.as_bytes(), "mag").unwrap_err().to_string();
    assert_eq!(error(&FIELD.replace("\"active\":", "\"is_active\":")), "mag: `active` is absent");
    assert_eq!(error(&FIELD.replace("\"bz_gsm\":", "\"bz\":")), "mag: `bz_gsm` is absent");
    let text = PLASMA.replace("proton_speed", "v");
    let error = parse_plasma(text.as_bytes(), "wind").unwrap_err();
    assert!(matches!(error, FeedError::NotWeather { .. }), "{error}");
}

#[test]
fn header_only_empty_and_foreign_bodies_are_told_apart() {
    let field = |text: &str| parse_field(text.as_bytes(), "mag").unwrap_err();
    assert!(matches!(field(""), FeedError::Empty { .. }));
    assert!(matches!(field("[]"), FeedError::NotWeather { .. }));
    assert!(field("<html>Blocked</html>").to_string().contains("web page"));
    let header = r#"[["time_tag","bx_gsm","by_gsm","bz_gsm","lon_gsm","lat_gsm","bt"]]"#;
    assert!(matches!(field(header), FeedError::NoSamples { .. }));
    assert!(field(r#"{"error":"gone"}"#).to_string().contains("JSON object"));
    assert!(field("404 page not found").to_string().contains("404 page not found"));
    let header = PROPAGATED.lines().next().unwrap().trim_end_matches(',').to_owned() + "]";
    assert!(matches!(parse_propagated(header.as_bytes(), "p").unwrap_err(), FeedError::NoSamples { .. }));
}

#[test]
fn the_retired_tables_are_read_every_row() {
    let text = r#"[["time_tag","bx_gsm","by_gsm","bz_gsm","lon_gsm","lat_gsm","bt"],
        ["2024-05-01 18:10:00.000","1.0","2.0","-2.0","63.4","-41.8","3.0"],
        ["2024-05-01 18:11:00.000",null,null,null,null,null,null]]"#;
    let read = field(text);
    assert_eq!((read.samples.len(), read.missing.len()), (1, 1));
    assert_eq!((read.samples[0].at, read.samples[0].spacecraft()), (at("2024-05-01T18:10:00"), None));
}

#[test]
fn the_wind_moved_to_earth_keeps_the_newest_complete_row_and_its_published_arrival() {
    let read = parse_propagated(PROPAGATED.as_bytes(), "propagated").unwrap();
    assert_eq!((read.samples.len(), read.missing.as_slice()), (2, &[at("2026-07-31T01:18:00")][..]));
    let newest = read.newest().unwrap();
    assert_eq!((newest.at, newest.arrives_at), (at("2026-07-31T01:17:00"), at("2026-07-31T02:21:17")));
    assert!((newest.bz_nt - 3.22).abs() < PRINTED && (newest.speed_km_s - 321.6).abs() < PRINTED);
    let quoted = PROPAGATED.replace(
        "321.6,2.75,68239,0.46,2.09,3.22,3.86",
        "\"321.6\",\"2.75\",\"68239\",\"0.46\",\"2.09\",\"3.22\",\"3.86\"",
    );
    assert_eq!(parse_propagated(quoted.as_bytes(), "propagated").unwrap(), read);
    let backwards = PROPAGATED.replace("2026-07-31T02:21:17Z", "2026-07-31T01:10:00Z");
    assert_eq!(parse_propagated(backwards.as_bytes(), "propagated").unwrap().rejected[0].field, "propagated_time_tag");
}

#[test]
fn our_time_of_arrival_is_near_the_published_one() {
    // the agency's boundary lies further out and spacecraft move about L1: a quarter of the way
    const SHARE: f64 = 0.25;
    for sample in parse_propagated(PROPAGATED.as_bytes(), "propagated").unwrap().samples {
        let published_s = sample.arrives_at.duration_since(sample.at).as_secs_f64();
        let ours_s = ballistic_delay(sample.speed_km_s).as_secs_f64();
        assert!((ours_s / published_s - 1.0).abs() < SHARE, "{ours_s} {published_s}");
    }
    assert_eq!(ballistic_delay(f64::NAN), ballistic_delay(400.0));
    assert_eq!(ballistic_delay(-1e300), ballistic_delay(150.0));
}

#[test]
fn captured_tables_are_read_whole() {
    if let Some(bytes) = sample("swpc/rtsw_mag_1m.2024-04-24.ace-active.json") {
        let read = parse_field(&bytes, "mag").unwrap();
        assert_eq!((read.samples.len(), read.counts.inactive, read.rejected.len()), (110, 130, 0));
        assert!(read.samples.iter().all(|sample| sample.spacecraft.as_deref() == Some("ACE")));
        assert_eq!(read.newest().unwrap().at, at("2024-04-24T23:35:00"));
    }
    if let Some(bytes) = sample("swpc/rtsw_mag_1m.2026.quoted-rows.json") {
        assert_eq!(parse_field(&bytes, "mag").unwrap().newest().unwrap().spacecraft(), Some("ACE"));
    }
    if let Some(bytes) = sample("swpc/rtsw_wind_1m.2026.quoted-row.json") {
        let read = parse_plasma(&bytes, "wind").unwrap();
        assert!((read.newest().unwrap().speed_km_s - 276.9).abs() < PRINTED);
    }
    if let Some(bytes) = sample("swpc/solar-wind_plasma.2024-05.old-array-form.json") {
        let read = parse_plasma(&bytes, "plasma").unwrap();
        assert_eq!((read.counts.rows, read.rejected.len()), (360, 0));
        assert_eq!(read.samples.len() + read.missing.len(), 360);
    }
    if let Some(bytes) = sample("swpc/propagated-solar-wind-1-hour.2026-07-31.two-rows.json") {
        assert_eq!(parse_propagated(&bytes, "propagated").unwrap().samples.len(), 2);
    }
}

#[test]
fn the_text_tables_of_ace_are_read_by_their_status_column() {
    if let Some(bytes) = sample("swpc/ace-magnetometer.2023-11-01.head.txt") {
        let read = parse_field(&bytes, "ace").unwrap();
        // 27 lines of status 0 and 33 of status 9
        assert_eq!((read.samples.len(), read.missing.len(), read.rejected.len()), (27, 33, 0));
    }
    if let Some(bytes) = sample("../solarwind/20090101_ace_mag_1m.txt") {
        let read = parse_field(&bytes, "ace").unwrap();
        assert_eq!((read.samples.len(), read.missing.len(), read.rejected.len()), (1324, 116, 0));
    }
    if let Some(bytes) = sample("../solarwind/20090101_ace_swepam_1m.txt") {
        let read = parse_plasma(&bytes, "ace").unwrap();
        assert_eq!(read.counts.rows, 1440);
        assert_eq!((read.counts.doubtful, read.rejected.len()), (271 + 108, 0), "{:?}", read.rejected);
        assert_eq!(read.samples.len() + read.missing.len(), 1009 + 52);
    }
}
