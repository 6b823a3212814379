//! NOAA's planetary K index in its old and its new shape. Rows composed to those shapes.

use feeds::{FeedError, KpFormat, parse_kp};
use job::ActivityKind;

use crate::{NOAA_OBJECTS, NOAA_ROWS};

/// Thirds are kept exact where two decimals are printed.
const PRINTED_KP: f64 = 0.004;

#[test]
fn rows_under_a_header_are_read_as_utc_with_their_kind() {
    let series = parse_kp(NOAA_ROWS.as_bytes(), "forecast.json").unwrap();
    assert_eq!(series.format, KpFormat::NoaaForecast);
    assert_eq!(series.rejected_summary(), None);
    let kinds: Vec<ActivityKind> = series.intervals.iter().map(|interval| interval.kind).collect();
    assert_eq!(kinds, [ActivityKind::Preliminary, ActivityKind::Forecast, ActivityKind::Forecast]);
    assert_eq!(series.intervals[1].from.to_string(), "2026-02-02T03:00:00Z");
    assert!((series.intervals[1].kp - 4.67).abs() < PRINTED_KP);
}

#[test]
fn objects_are_read_and_credited_to_noaa() {
    let series = parse_kp(NOAA_OBJECTS.as_bytes(), "observed.json").unwrap();
    assert_eq!(series.format, KpFormat::NoaaObserved);
    assert_eq!(series.intervals.len(), 2);
    assert!((series.intervals[1].kp - 2.67).abs() < PRINTED_KP);
    let activity = series.to_activity(series.intervals[0].from, series.intervals[1].to);
    assert!(activity.source.contains("NOAA") && activity.source.contains("public domain"));
    activity.check().unwrap();
}

#[test]
fn a_bare_nan_is_a_gap() {
    let series = parse_kp(NOAA_OBJECTS.replace("1.33", "NaN").as_bytes(), "observed.json").unwrap();
    assert_eq!((series.intervals.len(), series.missing.len()), (1, 1));
    assert_eq!(series.rejected_summary(), None);
}

#[test]
fn the_one_minute_estimate_is_refused_by_name() {
    let minute = br#"[{"time_tag":"2026-07-09T04:03:00","kp_index":1,"estimated_kp":0.67,"kp":"1M"}]"#;
    let error = parse_kp(minute, "k_1m.json").unwrap_err();
    assert!(matches!(error, FeedError::WrongIndex { .. }));
    assert_eq!(error.to_string(), "k_1m.json holds the 1-minute estimate of K, not 3-hour Kp");
}

#[test]
fn a_header_without_rows_has_no_values() {
    let error = parse_kp(br#"[["time_tag","Kp","a_running","station_count"]]"#, "x").unwrap_err();
    assert_eq!(error, FeedError::NoValues { source_name: "x".to_owned() });
    assert_eq!(parse_kp(b"[]", "x").unwrap_err(), error);
}

#[test]
fn a_row_that_lost_a_field_is_reported_and_the_rest_used() {
    let text = NOAA_ROWS.replace(r#""4.67","estimated""#, r#""4.67""#);
    let series = parse_kp(text.as_bytes(), "f.json").unwrap();
    assert_eq!(series.intervals.len(), 2);
    assert_eq!(
        series.rejected[0].to_string(),
        "entry 3, observed: \"G1\" is not one of observed, estimated, predicted"
    );
}
