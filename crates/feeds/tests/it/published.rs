//! GFZ's own values against what the parsers make of them.

use feeds::{KpFormat, KpSeries, KpThird, ap_of_kp, parse_kp};
use jiff::Timestamp;
use job::ActivityKind;

use crate::{DAILY, JSON, TAB, THREE_HOURLY, WDC};

/// Three decimals are printed, thirds are kept exact.
const PRINTED_KP: f64 = 0.0004;

/// Definitive Kp of storm days as printed by GFZ (table since 1932), copied by hand for this test.
const STORMS: [(&str, [f64; 8]); 4] = [
    ("2015-03-17", [2.000, 4.667, 5.667, 5.333, 7.667, 7.667, 7.333, 7.667]),
    ("2024-05-10", [2.667, 2.667, 2.333, 2.000, 3.667, 7.667, 8.667, 8.667]),
    ("2024-05-11", [9.000, 8.333, 8.333, 9.000, 8.667, 8.333, 7.667, 7.667]),
    ("2024-10-10", [2.000, 2.667, 1.333, 2.667, 3.667, 7.667, 8.333, 8.667]),
];

fn instant(text: &str) -> Timestamp {
    text.parse().unwrap()
}

fn day(series: &KpSeries, date: &str) -> Vec<f64> {
    let from = instant(&format!("{date}T00:00:00Z"));
    let to = from + jiff::SignedDuration::from_hours(24);
    series.to_activity(from, to).intervals.iter().map(|interval| interval.kp).collect()
}

fn clean(text: &str, name: &str) -> KpSeries {
    let series = parse_kp(text.as_bytes(), name).unwrap();
    assert_eq!(series.rejected_summary(), None);
    series
}

#[test]
fn storm_days_come_out_as_printed() {
    let series = clean(DAILY, "since_1932.txt");
    assert_eq!(series.format, KpFormat::GfzDaily);
    for (date, printed) in STORMS {
        let read = day(&series, date);
        assert_eq!(read.len(), 8, "{date}");
        for (read, printed) in read.iter().zip(printed) {
            assert!((read - printed).abs() < PRINTED_KP, "{date}: {read} for {printed}");
        }
    }
}

#[test]
fn the_json_answer_and_the_text_table_agree() {
    let (text, json) = (clean(DAILY, "a"), clean(JSON, "b"));
    assert_eq!(json.format, KpFormat::GfzJson);
    for date in ["2024-05-10", "2024-05-11", "2024-05-12"] {
        assert_eq!(day(&text, date), day(&json, date), "{date}");
    }
}

#[test]
fn the_flag_tells_definitive_from_preliminary() {
    let series = clean(DAILY, "a");
    let kind = |at: &str| series.intervals.iter().find(|interval| interval.from == instant(at)).unwrap().kind;
    assert_eq!(kind("2024-05-11T00:00:00Z"), ActivityKind::Definitive);
    assert_eq!(kind("2025-11-11T00:00:00Z"), ActivityKind::Definitive);
    assert_eq!(kind("2025-12-24T00:00:00Z"), ActivityKind::Preliminary);
}

#[test]
fn the_wdc_file_gives_the_most_disturbed_day_of_2009() {
    let series = clean(WDC, "Kp_def2009.wdc");
    assert_eq!(series.format, KpFormat::GfzWdc);
    // " 9 7222401143057504317172313250 ...", read by eye: 3o 6- 5o 4+ 2- 2- 2+ 1+, their sum 25o
    let day: Vec<String> =
        day(&series, "2009-07-22").into_iter().map(|kp| KpThird::from_decimal(kp).unwrap().to_string()).collect();
    assert_eq!(day.join(" "), "3o 6- 5o 4+ 2- 2- 2+ 1+");
    assert_eq!(series.intervals[0].kind, ActivityKind::Definitive);
}

#[test]
fn the_tab_file_is_of_2019_and_not_of_1902() {
    let series = clean(TAB, "kp1902.tab");
    assert_eq!(series.format, KpFormat::GfzTab);
    assert_eq!(series.span().unwrap().0, instant("2019-02-01T00:00:00Z"));
    assert_eq!(series.intervals.len(), 11 * 8);
    let first = day(&series, "2019-02-01").into_iter().map(|kp| KpThird::from_decimal(kp).unwrap().to_string());
    assert_eq!(first.collect::<Vec<_>>().join(" "), "2+ 3+ 3+ 2+ 2+ 4- 3o 4-");
}

#[test]
fn a_quick_look_file_is_preliminary() {
    let of = |name: &str| parse_kp(TAB.as_bytes(), name).unwrap().intervals[0].kind;
    assert_eq!(of("kp1902.tab"), ActivityKind::Definitive);
    assert_eq!(of("folder/ql1902.tab"), ActivityKind::Preliminary);
    assert_eq!(of("C:\\kp\\PQL1902.tab"), ActivityKind::Preliminary);
}

#[test]
fn one_interval_a_line_is_read_and_its_gap_stays_a_gap() {
    let series = clean(THREE_HOURLY, "kp_ap.txt");
    assert_eq!(series.format, KpFormat::GfzThreeHourly);
    assert_eq!(series.missing, [instant("2024-05-10T21:00:00Z")]);
    assert_eq!(day(&series, "2024-05-10"), day(&clean(DAILY, "a"), "2024-05-10")[4..7]);
    assert_eq!(series.intervals[2].kind, ActivityKind::Preliminary);
}

#[test]
fn the_window_keeps_whole_intervals_and_names_its_source() {
    let activity = clean(JSON, "kp.json").to_activity(instant("2024-05-10T16:30:00Z"), instant("2024-05-11T03:00:00Z"));
    assert_eq!(activity.intervals.len(), 4);
    assert_eq!(activity.intervals[0].from, instant("2024-05-10T15:00:00Z"));
    assert_eq!(activity.intervals[3].to, instant("2024-05-11T03:00:00Z"));
    activity.check().unwrap();
    for part in ["GFZ", "CC BY 4.0", "Matzka et al. 2021", "10.1029/2020SW002641", "kp.json"] {
        assert!(activity.source.contains(part), "{part} in {}", activity.source);
    }
}

#[test]
fn a_time_without_values_gives_an_empty_activity() {
    let activity = clean(JSON, "kp.json").to_activity(instant("2023-01-01T00:00:00Z"), instant("2023-01-02T00:00:00Z"));
    assert!(activity.intervals.is_empty());
}

#[test]
fn ap_follows_from_kp_as_in_every_row_of_the_table() {
    let mut rows = 0;
    for line in DAILY.lines().filter(|line| !line.starts_with('#')) {
        let fields: Vec<&str> = line.split_whitespace().collect();
        for index in 0..8 {
            let kp: f64 = fields[7 + index].parse().unwrap();
            assert_eq!(ap_of_kp(kp).map(|ap| ap.to_string()).as_deref(), Some(fields[15 + index]), "{line}");
        }
        rows += 1;
    }
    assert_eq!(rows, 22);
}

#[test]
fn the_running_interval_and_a_trailing_null_are_read() {
    let answer = r#"{"Kp":[2.667,1.667,null],"datetime":["2026-09-17T00:00:00Z","2026-09-17T03:00:00Z","2026-09-17T06:00:00Z"],
        "meta":{"license":"CC BY 4.0","source":"GFZ Potsdam"},"status":["pre","now",null]}"#;
    let series = clean(answer, "kp.json");
    assert_eq!(series.intervals.len(), 2);
    assert!(series.intervals.iter().all(|interval| interval.kind == ActivityKind::Preliminary));
    assert_eq!(series.missing, [instant("2026-09-17T06:00:00Z")]);
}
