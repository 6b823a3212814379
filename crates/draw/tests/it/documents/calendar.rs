//! Calendars read back by the `icalendar` crate, and the rules of RFC 5545 one by one.

use draw::documents::{DocumentError, calendar};
use icalendar::parser::{Component, read_calendar, unfold};
use job::OutlookReport;
use proptest::prelude::*;
use quantity::Timestamp;

use super::compared;
use crate::sample::{self, plus};

/// Value of the one property of that name, unescaped by the parser.
fn value<'a>(component: &'a Component<'_>, name: &str) -> &'a str {
    let found: Vec<_> = component.properties.iter().filter(|property| property.name == name).collect();
    assert_eq!(found.len(), 1, "{name} once in {}", component.name);
    found[0].val.as_str()
}

fn instant(text: &str) -> Timestamp {
    let civil = jiff::civil::DateTime::strptime("%Y%m%dT%H%M%SZ", text).unwrap();
    civil.to_zoned_datetime(jiff::tz::TimeZone::UTC).unwrap().timestamp()
}

/// Two windows: the sample's own and an earlier one of no length.
fn two_windows() -> OutlookReport {
    let mut report = compared();
    let mut second = report.windows[0].clone();
    second.from = plus(second.from, -3.0);
    second.to = second.from;
    report.windows.push(second);
    report
}

#[test]
fn every_window_is_an_event_with_an_alarm_in_time_to_leave() {
    let report = two_windows();
    let text = calendar(&report).unwrap();
    let unfolded = unfold(&text);
    let read = read_calendar(&unfolded).unwrap();
    let header: Vec<_> = read.properties.iter().map(|p| (p.name.as_str(), p.val.as_str())).collect();
    assert!(header.contains(&("VERSION", "2.0")) && header.iter().any(|(name, _)| *name == "PRODID"), "{header:?}");
    assert_eq!(read.components.len(), 2);
    for (event, window) in read.components.iter().zip(&report.windows) {
        assert_eq!(event.name, "VEVENT");
        assert_eq!(instant(value(event, "DTSTART")), window.from);
        assert!(instant(value(event, "DTEND")) > window.from, "an event ends after it starts");
        assert_eq!(instant(value(event, "DTSTAMP")), report.request.asked_at);
        assert_eq!(value(event, "GEO"), "69.200000;15.100000");
        assert_eq!(value(event, "LOCATION"), "Skerrow Bay");
        let description = value(event, "DESCRIPTION");
        assert!(description.starts_with(&report.verdict.text));
        for caution in &report.cautions {
            assert!(description.contains(&caution.text) && description.contains(&caution.defer_to), "{description}");
        }
        let [alarm] = &event.components[..] else { panic!("one alarm") };
        assert_eq!((alarm.name.as_str(), value(alarm, "ACTION")), ("VALARM", "DISPLAY"));
        // 54.2 minutes on the road, rounded up, and half an hour to set up
        assert_eq!(value(alarm, "TRIGGER"), "-PT85M");
        assert!(value(alarm, "DESCRIPTION").contains("55 min on the road"));
    }
    assert_eq!(instant(value(&read.components[0], "DTEND")), report.windows[0].to);
}

#[test]
fn the_words_are_in_the_sites_own_time() {
    let text = calendar(&compared()).unwrap();
    let unfolded = unfold(&text);
    let read = read_calendar(&unfolded).unwrap();
    // it opens nine hours after mean noon, 19:59 UTC
    let description = value(&read.components[0], "DESCRIPTION");
    assert!(
        description.contains("Window of the night of 14-15 Mar 2026: 20:59 to 00:11 CET, best about 22:29"),
        "{description}"
    );
    assert!(description.contains("Leave by 19:34: 55 min on the road, 30 min to set up."), "{description}");
}

#[test]
fn asking_again_keeps_the_uid_and_moves_the_stamp() {
    let uids = |report: &OutlookReport| -> Vec<String> {
        let text = calendar(report).unwrap();
        let unfolded = unfold(&text);
        read_calendar(&unfolded).unwrap().components.iter().map(|event| value(event, "UID").to_owned()).collect()
    };
    let first = two_windows();
    let mut later = first.clone();
    later.request.asked_at = plus(first.request.asked_at, 3.0);
    later.windows[0].from = plus(later.windows[0].from, 0.5);
    later.verdict.text = "Changed.".to_owned();
    assert_eq!(uids(&first), uids(&later));
    assert_ne!(uids(&first)[0], uids(&first)[1]);
    let mut elsewhere = first.clone();
    elsewhere.request.site.name = "Marrow Head".to_owned();
    assert_ne!(uids(&first), uids(&elsewhere));
    assert!(calendar(&later).unwrap().contains("DTSTAMP:20260314T135937Z"));
}

#[test]
fn a_night_without_a_window_is_refused_with_its_remedy() {
    let report = sample::moonlit_without_activity().outlook();
    let error = calendar(&report).unwrap_err();
    assert!(matches!(&error, DocumentError::NoWindow { site, .. } if site == "Lang Ness"));
    assert!(error.hint().contains("field card"));
}

#[test]
fn the_ends_of_the_calendar_do_not_overflow() {
    for end in [Timestamp::MIN, Timestamp::MAX] {
        let mut report = compared();
        report.windows[0].from = end;
        report.windows[0].to = end;
        report.windows[0].best_at = end;
        assert!(calendar(&report).unwrap().ends_with("END:VCALENDAR\r\n"));
    }
}

proptest! {
    #[test]
    fn any_name_comes_back_and_every_line_keeps_the_rules(name in ".{0,120}", notes in "\\PC{0,400}") {
        let mut report = two_windows();
        report.request.site.name.clone_from(&name);
        report.verdict.text = format!("Perhaps: {name}. {notes}");
        let text = calendar(&report).unwrap();
        prop_assert!(text.ends_with("\r\n"));
        for line in text.strip_suffix("\r\n").unwrap().split("\r\n") {
            prop_assert!(line.len() <= 75 && !line.is_empty(), "{} octets: {:?}", line.len(), line);
            prop_assert!(!line.chars().any(char::is_control), "{line:?}");
        }
        let unfolded = unfold(&text);
        let read = read_calendar(&unfolded).unwrap();
        prop_assert_eq!(read.components.len(), 2);
        let wanted = super::names::as_shown(&name);
        // the parser takes white space off the ends of a value
        prop_assert_eq!(value(&read.components[0], "LOCATION").trim(), wanted.trim());
    }
}
