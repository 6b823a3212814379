//! Tables that are cut, flipped, foreign, or lie.

use feeds::{FeedError, LARGEST_BYTES, Place, parse_kp};
use job::ActivityKind;

use crate::{DAILY, GOOD, JSON, TAB, WDC};

/// Whatever comes in, a message is one line, not endless, and has a remedy.
fn check_message(error: &FeedError) {
    let message = error.to_string();
    assert!(!message.contains('\n') && !message.is_empty() && message.chars().count() < 250, "{message}");
    assert!(!error.hint().is_empty());
}

/// What every accepted table keeps to, however it was damaged.
fn check_result(bytes: &[u8], name: &str) {
    match parse_kp(bytes, name) {
        Ok(series) => {
            let everything = series.span().map(|(from, to)| series.to_activity(from, to));
            let activity = everything.expect("an accepted table has a value");
            activity.check().expect("in order, in range");
            assert!(series.intervals.iter().all(|interval| interval.to > interval.from));
            for error in &series.rejected {
                assert!(!error.to_string().contains('\n'), "{error}");
            }
        }
        Err(error) => check_message(&error),
    }
}

#[test]
fn every_table_cut_at_every_length_is_refused_or_read_in_part() {
    for (name, text) in GOOD {
        let full = parse_kp(text.as_bytes(), name).unwrap().intervals;
        for length in 0..text.len() {
            let cut = &text.as_bytes()[..length];
            check_result(cut, name);
            if let Ok(part) = parse_kp(cut, name) {
                assert!(full.starts_with(&part.intervals), "{name} cut at {length} gives other values");
            }
        }
    }
}

#[test]
fn a_flipped_bit_in_a_text_table_never_changes_a_value_unseen() {
    // kind and day may not change either; D is the one column without a second witness
    for (name, text) in [("daily.txt", DAILY), ("kp2009.wdc", WDC)] {
        let full = parse_kp(text.as_bytes(), name).unwrap().intervals;
        for at in (0..text.len()).step_by(3) {
            for bit in 0..8 {
                let mut bytes = text.as_bytes().to_vec();
                bytes[at] ^= 1 << bit;
                check_result(&bytes, name);
                let Ok(series) = parse_kp(&bytes, name) else { continue };
                for interval in &series.intervals {
                    let known = full.iter().find(|known| known.from == interval.from);
                    let known = known.unwrap_or_else(|| panic!("{name}: byte {at}, bit {bit} made {interval:?}"));
                    assert!((known.kp - interval.kp).abs() < f64::EPSILON, "{name}: byte {at}, bit {bit}");
                }
            }
        }
    }
}

#[test]
fn flipped_bits_in_the_other_shapes_are_survived() {
    for (name, text) in GOOD {
        for at in 0..text.len() {
            let mut bytes = text.as_bytes().to_vec();
            bytes[at] ^= 1 << (at % 8);
            check_result(&bytes, name);
        }
    }
}

#[test]
fn a_web_page_is_called_a_web_page() {
    for page in ["<!DOCTYPE html><html><body>500</body></html>", "\n  <HTML>", "\u{feff}<?xml version=\"1.0\"?><html>"]
    {
        let error = parse_kp(page.as_bytes(), "kp.json").unwrap_err();
        assert_eq!(error.to_string(), "kp.json is a web page (HTML), not a Kp table");
        check_message(&error);
    }
}

#[test]
fn nothing_blanks_and_comments_are_told_apart() {
    let error = |bytes: &[u8]| parse_kp(bytes, "x").unwrap_err();
    let source_name = || "x".to_owned();
    assert_eq!(error(b""), FeedError::Empty { source_name: source_name() });
    assert_eq!(error(b" \r\n\t"), FeedError::Empty { source_name: source_name() });
    assert_eq!(error(b"# only\n# comments\n"), FeedError::NoValues { source_name: source_name() });
    assert!(matches!(error(&[0x1f, 0x8b, 8, 0]), FeedError::Compressed { .. }));
    assert!(matches!(error(b"\x89PNG\r\n\x1a\n\0\0\0"), FeedError::Unrecognised { .. }));
    assert!(matches!(error(b"Dear all,\nplease find"), FeedError::Unrecognised { .. }));
}

#[test]
fn an_empty_definitive_answer_says_what_to_ask_instead() {
    let answer = br#"{"Kp":[],"datetime":[],"meta":{"license":"CC BY 4.0","source":"GFZ Potsdam"},"status":[]}"#;
    let error = parse_kp(answer, "kp.json").unwrap_err();
    assert!(matches!(error, FeedError::NoValues { .. }));
    assert!(error.hint().contains("status=def"));
}

#[test]
fn too_large_a_file_is_refused_before_it_is_read() {
    let bytes = vec![b' '; LARGEST_BYTES + 1];
    let error = parse_kp(&bytes, "big").unwrap_err();
    assert!(matches!(error, FeedError::TooLarge { .. }));
    check_message(&error);
}

#[test]
fn arrays_of_unequal_length_are_refused_with_both_lengths() {
    let error = parse_kp(JSON.replacen("2.667,", "", 1).as_bytes(), "kp.json").unwrap_err();
    assert_eq!(error.to_string(), "kp.json: `Kp` has 23 values, `datetime` has 24");
    let error = parse_kp(JSON.replacen("\"def\",", "", 1).as_bytes(), "kp.json").unwrap_err();
    assert_eq!(error.to_string(), "kp.json: `Kp` has 24 values, `status` has 23");
}

#[test]
fn json_that_breaks_off_names_line_and_column() {
    let error = parse_kp(&JSON.as_bytes()[..300], "kp.json").unwrap_err();
    assert_eq!(error.to_string(), "kp.json, line 1, column 300: the JSON breaks off");
    let deep = "[".repeat(100_000);
    check_message(&parse_kp(deep.as_bytes(), "x").unwrap_err());
}

#[test]
fn another_index_is_refused_by_its_name() {
    let half_hourly = br#"{"Hp30":[8.333,11.333],"datetime":["2024-05-10T21:00:00Z","2024-05-10T21:30:00Z"]}"#;
    let error = parse_kp(half_hourly, "hp30.json").unwrap_err();
    assert_eq!(error.to_string(), "hp30.json holds the index Hp30, not 3-hour Kp");
    let text = b"2026 09 17 13.5 13.75 34593.56250 34593.57292  2.333    9 0\n";
    let error = parse_kp(text, "hp30.txt").unwrap_err();
    assert_eq!(error.to_string(), "hp30.txt holds the half-hourly index Hp30, not 3-hour Kp");
}

#[test]
fn impossible_json_values_cost_their_own_row() {
    for bad in ["-3", "9.333", "1e300", "2.5", "true", "\"x\"", "[1]", "\"inf\"", "99999999999999999999999999"] {
        let series = parse_kp(JSON.replacen("2.667", bad, 1).as_bytes(), "kp.json").unwrap();
        assert_eq!((series.intervals.len(), series.rejected.len()), (23, 1), "{bad}");
        assert_eq!((series.rejected[0].place, series.rejected[0].field), (Place::Entry(1), "Kp"), "{bad}");
    }
    for bad in ["2024-05-10", "2024-05-10T01:00:00Z", "2024-13-10T00:00:00Z", "1931-12-31T00:00:00Z", ""] {
        let text = JSON.replacen("2024-05-10T00:00:00Z", bad, 1);
        let series = parse_kp(text.as_bytes(), "kp.json").unwrap();
        assert_eq!((series.intervals.len(), series.rejected.len()), (23, 1), "{bad}");
    }
}

#[test]
fn a_bad_line_names_its_number_and_field_and_the_rest_is_used() {
    let number = 1 + DAILY.lines().position(|line| line.starts_with("2024 05 11")).unwrap();
    for (from, to, field) in [
        ("  9.000  8.333", "  9.000  8.533", "Kp2"),
        ("  9.000  8.333", "  9.000  nan  ", "Kp2"),
        ("  400  236", "  400  999", "ap2"),
        ("2024 05 11 33734", "2024 05 11 33735", "days"),
        ("2024 05 11", "2024 05 32", "date"),
        ("213.7    218.0 2", "213.7    218.0 7", "D"),
        ("213.7    218.0 2", "213.7", "row"),
    ] {
        assert!(DAILY.contains(from));
        let series = parse_kp(DAILY.replacen(from, to, 1).as_bytes(), "t").unwrap();
        assert_eq!(series.rejected.len(), 1, "{to}");
        assert_eq!((series.rejected[0].place, series.rejected[0].field), (Place::Line(number), field));
        assert_eq!(series.intervals.len(), 21 * 8);
        assert!(series.rejected_summary().unwrap().contains(&format!("1 row was left out; line {number}, {field}")));
    }
}

#[test]
fn a_wdc_or_tab_row_that_contradicts_itself_is_named() {
    for (text, from, to, field) in [
        (WDC, "3057504317172313250", "3057504317172313251", "sum"),
        (WDC, "3057504317172313250", "3058504317172313250", "Kp2"),
        (WDC, "3057504317172313250 15 67", "3057504317172313250 15 76", "ap2"),
        (WDC, " 9 7222401", " 9 7232401", "rotation"),
        (WDC, " 9 7222401", " 913222401", "date"),
        (TAB, "24o D3*", "25o D3*", "sum"),
        (TAB, "24o D3*", "24x D3*", "sum"),
        (TAB, "2+ 4- 3o 4-   24o", "2+ 4. 3o 4-   24o", "Kp6"),
        (TAB, "190203", "190233", "date"),
        (TAB, "2+   18o     10 0.6", "2+", "row"),
    ] {
        assert!(text.contains(from), "{from}");
        let series = parse_kp(text.replacen(from, to, 1).as_bytes(), "t").unwrap();
        assert_eq!((series.intervals.len(), series.rejected.len()), (10 * 8, 1), "{to}");
        assert_eq!(series.rejected[0].field, field, "{to}: {}", series.rejected[0]);
    }
}

#[test]
fn a_byte_that_is_no_text_costs_its_own_line() {
    let mut bytes = TAB.as_bytes().to_vec();
    let at = TAB.find("190203").unwrap();
    bytes[at + 8] = 0xff;
    let series = parse_kp(&bytes, "kp1902.tab").unwrap();
    assert_eq!((series.intervals.len(), series.rejected.len()), (10 * 8, 1));
}

#[test]
fn a_table_without_one_good_row_names_the_first() {
    let error = parse_kp(b"2024 05 11 33734 1.0\n", "t").unwrap_err();
    assert_eq!(error.to_string(), "t: none of its 1 rows can be read; line 1, row: 5 fields where the table has 28");
    check_message(&error);
}

#[test]
fn a_second_value_for_an_interval_is_reported_and_the_first_kept() {
    let twice =
        JSON.replacen("2024-05-10T03:00:00Z", "2024-05-10T00:00:00Z", 1).replacen("2.667,2.667", "3.0,2.667", 1);
    let series = parse_kp(twice.as_bytes(), "kp.json").unwrap();
    assert_eq!(series.intervals.len(), 23);
    assert!((series.intervals[0].kp - 3.0).abs() < f64::EPSILON);
    assert_eq!(series.rejected[0].place, Place::Entry(2));
}

#[test]
fn rows_in_any_order_and_foreign_line_ends_give_the_same_series() {
    let expected = parse_kp(DAILY.as_bytes(), "t").unwrap();
    let backwards: Vec<&str> = DAILY.lines().rev().collect();
    assert_eq!(parse_kp(backwards.join("\n").as_bytes(), "t").unwrap().intervals, expected.intervals);
    let windows = format!("\u{feff}{}", DAILY.replace('\n', "\r\n"));
    assert_eq!(parse_kp(windows.as_bytes(), "t").unwrap(), expected);
}

#[test]
fn a_flood_of_bad_rows_is_counted_but_not_kept() {
    let mut text = DAILY.to_owned();
    for _ in 0..5000 {
        text.push_str("2024 05 11 oops\n");
    }
    let series = parse_kp(text.as_bytes(), "t").unwrap();
    assert_eq!((series.rejected.len(), series.rejected_beyond), (1000, 4000));
    assert!(series.rejected_summary().unwrap().contains("5000 rows were left out"));
}

#[test]
fn an_answer_without_status_counts_as_preliminary() {
    let answer = br#"{"Kp":[2.0],"datetime":["2024-05-10T00:00:00Z"]}"#;
    assert_eq!(parse_kp(answer, "x").unwrap().intervals[0].kind, ActivityKind::Preliminary);
}
