//! Coded reports: composed edge cases, real ones read in place, and damaged ones.

use std::collections::BTreeMap;

use feeds::weather::{
    ClearWord, Metar, Sky, Taf, TafChange, TafRevision, TafState, VisibilityBound, parse_aviation_reports, parse_metar,
    parse_taf,
};
use proptest::prelude::*;

use super::{at, check_message, check_weather, hour, near};
use crate::samples::sample;

const EDGE_CASES: &str = include_str!("../../data/metar_taf.edge-cases.composed.txt");
/// Day in which all edge cases but the last were made.
const RECEIVED: &str = "2026-11-16T06:00:00Z";
/// Real rows that must be read; 238 stand in the file.
const FEWEST_READ: usize = 238;
/// Groups not understood, of about 3000: misspelt ones and words of plain language.
const MOST_UNREAD: usize = 40;

/// The composed line with this beginning, without its note.
fn line(start: &str) -> &'static str {
    let line = EDGE_CASES.lines().find(|line| line.starts_with(start)).unwrap();
    line.split('|').next().unwrap().trim()
}

fn metar(start: &str) -> Metar {
    let metar = parse_metar(line(start), at(RECEIVED)).unwrap();
    assert!(metar.unread.is_empty(), "{start}: {:?}", metar.unread);
    metar.to_weather().check().unwrap();
    metar
}

fn taf(start: &str) -> Taf {
    let taf = parse_taf(line(start), at(RECEIVED)).unwrap();
    assert!(taf.unread.is_empty(), "{start}: {:?}", taf.unread);
    taf
}

fn knots(value: Option<f64>, expected: f64) -> bool {
    value.is_some_and(|speed| (speed * 3600.0 / 1852.0 - expected).abs() < 1e-9)
}

#[test]
fn an_observation_becomes_an_hour() {
    let weather = metar("METAR ENTC 152120Z").to_weather();
    let hour = hour(&weather, "2026-11-15T21:20:00Z");
    assert_eq!(hour.to, at("2026-11-15T22:20:00Z"));
    assert!(near(hour.cloud.low, 0.4375) && near(hour.cloud.medium, 0.75) && hour.cloud.high.is_none());
    assert_eq!((hour.temperature_c, hour.dew_point_c, hour.wind_from_deg), (Some(-3.0), Some(-8.0), Some(210.0)));
    assert!(knots(hour.wind_m_s, 12.0) && knots(hour.gust_m_s, 24.0));
    assert!(weather.source.contains("ENTC") && weather.issued_at == Some(at("2026-11-15T21:20:00Z")));
}

#[test]
fn words_for_no_cloud_leave_the_upper_layers_unsaid() {
    for (start, word) in [
        ("METAR ENTC 152150Z", ClearWord::Nsc),
        ("METAR BIRK 152100Z", ClearWord::Cavok),
        ("METAR YMHB 151130Z", ClearWord::Ncd),
        ("METAR CYZF 160500Z", ClearWord::Skc),
    ] {
        let metar = metar(start);
        assert_eq!(metar.conditions.sky, Some(Sky::Clear(word)), "{start}");
        let cloud = metar.hour().cloud;
        assert!(near(cloud.low, 0.0) && cloud.medium.is_none() && cloud.high.is_none(), "{start}");
        assert_eq!(cloud.total.is_some(), word == ClearWord::Skc, "{start}");
    }
}

#[test]
fn sensors_that_are_out_are_unknown_and_never_clear() {
    let metar = metar("METAR ESNQ");
    assert_eq!(metar.conditions.sky, Some(Sky::Unknown));
    assert!(metar.hour().cloud.is_unknown() && metar.automatic);
    assert_eq!(metar.temperature_c, Some(-25.0));
    let none = parse_metar("METAR PAYA 131653Z AUTO 00000KT 10SM M03/M04 A2992", at(RECEIVED)).unwrap();
    assert_eq!(none.conditions.sky, None, "no cloud group at all");
    assert!(none.hour().cloud.is_unknown());
}

#[test]
fn fog_and_an_obscured_sky() {
    let fog = metar("METAR EFIV");
    assert_eq!(fog.conditions.sky, Some(Sky::Obscured { vertical_visibility_m: Some(30.48) }));
    let hour = fog.hour();
    assert!(near(hour.fog, 1.0) && near(hour.cloud.low, 1.0) && near(hour.cloud.total, 1.0));
    assert!(hour.cloud.medium.is_none());
    let quarter = metar("SPECI KFAR").conditions.visibility.unwrap();
    assert!((quarter.distance_m - 402.336).abs() < 1e-9 && quarter.bound == VisibilityBound::LessThan);
    let patches = metar("METAR PAFA");
    assert!((patches.conditions.visibility.unwrap().distance_m - 804.672).abs() < 1e-9);
    assert_eq!(patches.conditions.weather, ["IC", "BCFG"]);
    assert!(near(patches.hour().fog, 0.3));
}

#[test]
fn flags_corrections_and_missing_reports() {
    let Some(Sky::Layers(layers)) = metar("METAR EGPD").conditions.sky else { panic!("layers") };
    assert!(layers.iter().all(|layer| layer.convective));
    let corrected = metar("METAR COR ENAT");
    assert!(corrected.corrected && near(corrected.hour().cloud.low, 0.75), "a base not known counts as low");
    assert!(metar("METAR ENSB").nil);
}

#[test]
fn a_forecast_becomes_hours_with_its_changes() {
    let taf = taf("TAF ENTC");
    let weather = taf.to_weather().unwrap();
    weather.check().unwrap();
    let low = |time| hour(&weather, time).cloud.low;
    // BKN060 is low cloud too (1829 m), so BKN012 for a while brings no more of it, but its showers no fog either
    assert!(near(low("2026-11-15T20:00:00Z"), 0.75) && near(hour(&weather, "2026-11-15T20:00:00Z").fog, 0.0));
    // the layers go on until the end of BECMG, then NSC
    assert!(near(low("2026-11-16T01:00:00Z"), 0.75));
    assert!(near(low("2026-11-16T03:00:00Z"), 0.0) && hour(&weather, "2026-11-16T03:00:00Z").cloud.medium.is_none());
    // VV008 in snow with 40 % in half of the time
    assert!(near(low("2026-11-16T08:00:00Z"), 0.2));
    assert!(knots(hour(&weather, "2026-11-16T08:00:00Z").wind_m_s, 8.0));
    assert_eq!(taf.groups[3].change, TafChange::ProbableTemporary { percent: 40 });
    assert_eq!(weather.hours.last().unwrap().to, at("2026-11-16T18:00:00Z"));
}

#[test]
fn a_temporary_group_is_weighed_in_by_its_share_of_the_time() {
    let text = "TAF ENTC 151700Z 1518/1618 21015KT 9999 SCT030 TEMPO 1518/1524 0300 FG OVC002 PROB30 1606/1609 BKN010";
    let weather = parse_taf(text, at(RECEIVED)).unwrap().to_weather().unwrap();
    // 0.4375 + 0.5 (1 - 0.4375), and 0.4375 + 0.3 (0.75 - 0.4375)
    let evening = hour(&weather, "2026-11-15T20:00:00Z");
    assert!(near(evening.cloud.low, 0.71875) && near(evening.fog, 0.5));
    assert!(near(hour(&weather, "2026-11-16T07:00:00Z").cloud.low, 0.53125));
    assert!(near(hour(&weather, "2026-11-16T03:00:00Z").cloud.low, 0.4375));
}

#[test]
fn from_groups_replace_everything() {
    let taf = taf("TAF AMD PAFA");
    assert_eq!(taf.revision, TafRevision::Amended);
    let weather = taf.to_weather().unwrap();
    let cloud = |time| hour(&weather, time).cloud;
    assert!(near(cloud("2026-11-16T07:00:00Z").medium, 0.4375) && near(cloud("2026-11-16T07:00:00Z").low, 0.0));
    assert!(near(cloud("2026-11-16T12:00:00Z").low, 1.0));
    assert!(near(cloud("2026-11-16T22:00:00Z").total, 0.0));
}

#[test]
fn withdrawn_forecasts_and_hour_24() {
    let withdrawn = taf("TAF ENSB");
    assert_eq!(withdrawn.state, TafState::Cancelled);
    let error = withdrawn.to_weather().unwrap_err();
    assert_eq!(error.to_string(), "the TAF of ENSB holds no forecast: it was withdrawn (CNL)");
    let across = parse_taf(line("TAF BIRK"), at("2026-10-31T23:05:00Z")).unwrap();
    assert_eq!((across.from, across.to), (Some(at("2026-11-01T00:00:00Z")), Some(at("2026-11-01T06:00:00Z"))));
}

#[test]
fn the_json_of_the_service_only_carries_the_raw_text() {
    let answer = br#"[{"icaoId":"ENTC","obsTime":1794777600,"temp":99,"clouds":[{"cover":"OVC","base":100}],
        "rawOb":"METAR ENTC 152120Z AUTO 21012KT 9999 NCD M03/M08 Q0987"},{"icaoId":"X"},
        {"rawTAF":"TAF ENTC 151700Z 1518/1618 21015KT 9999 SCT030","issueTime":"2026-11-15T17:00:00Z"}]"#;
    let reports = parse_aviation_reports(answer, "metar.json", at("2030-01-01T00:00:00Z")).unwrap();
    assert_eq!((reports.metars.len(), reports.tafs.len(), reports.refused.len()), (1, 1, 1));
    assert_eq!(reports.metars[0].observed_at, at("2026-11-15T21:20:00Z"));
    assert_eq!(reports.metars[0].temperature_c, Some(-3.0));
    assert_eq!(reports.refused[0].to_string(), "entry 2, report: `rawOb` and `rawTAF` are absent");
    for none in [&b"[]"[..], b"# nothing\n", b"[{}]"] {
        check_message(&parse_aviation_reports(none, "x", at(RECEIVED)).unwrap_err());
    }
}

#[test]
fn a_forecast_may_run_over_several_lines() {
    let text = "TAF ENTC 151700Z 1518/1618 21015KT 9999 SCT030\n  TEMPO 1518/1524 4000 -SHSN BKN012\nFM160600 VRB03KT CAVOK\n\
                METAR ENTC 152120Z 21012KT CAVOK M03/M08 Q0987=\n";
    let reports = parse_aviation_reports(text.as_bytes(), "x", at(RECEIVED)).unwrap();
    assert_eq!((reports.metars.len(), reports.tafs.len(), reports.refused.len()), (1, 1, 0));
    assert_eq!(reports.tafs[0].groups.len(), 3);
}

#[test]
fn the_authentic_reports_are_read_without_a_group_left() {
    let Some(bytes) = sample("weather/metar_taf.authentic.txt") else { return };
    let reports = parse_aviation_reports(&bytes, "x", at("2024-01-17T06:00:00Z")).unwrap();
    assert!(reports.refused.is_empty(), "{:?}", reports.refused);
    assert_eq!((reports.metars.len(), reports.tafs.len()), (8, 3));
    assert!(reports.metars.iter().all(|metar| metar.unread.is_empty()));
    assert!(reports.tafs.iter().all(|taf| taf.unread.is_empty()));
    for taf in &reports.tafs {
        taf.to_weather().unwrap().check().unwrap();
    }
}

/// Every row of a table of real reports: the last reference in its day, and both columns.
#[test]
#[expect(clippy::print_stderr, reason = "what was refused must be listed")]
fn two_hundred_real_reports_are_read_or_refused_with_a_reason() {
    let Some(bytes) = sample("../metar/real_metar_taf.tsv") else { return };
    let text = String::from_utf8(bytes).unwrap();
    let (mut read, mut tafs, mut no_period, mut unread) = (0, 0, 0, BTreeMap::new());
    for (number, row) in text.lines().enumerate().skip(1) {
        let cells: Vec<&str> = row.split('\t').collect();
        let reference = at(&format!("{}T23:59:59Z", cells[2]));
        match parse_metar(cells[3], reference) {
            Ok(metar) => {
                read += 1;
                metar.to_weather().check().unwrap();
                assert!(metar.observed_at <= reference.checked_add(jiff::SignedDuration::from_hours(24)).unwrap());
                metar.unread.iter().for_each(|group| *unread.entry(group.clone()).or_insert(0_usize) += 1);
            }
            Err(error) => eprintln!("row {}: {error}: {}", number + 1, cells[3]),
        }
        let Some(forecast) = cells.get(4).filter(|text| !text.trim().is_empty()) else { continue };
        match parse_taf(forecast, reference) {
            Ok(taf) => {
                tafs += 1;
                if taf.state == TafState::Forecast {
                    let weather = taf.to_weather().unwrap();
                    weather.check().unwrap();
                    assert!(!weather.hours.is_empty());
                }
                taf.unread.iter().for_each(|group| *unread.entry(group.clone()).or_insert(0_usize) += 1);
            }
            Err(error) => {
                no_period += 1;
                eprintln!("row {}: {error}: {forecast}", number + 1);
            }
        }
    }
    eprintln!("{read} observations, {tafs} forecasts read, {no_period} refused; groups not understood: {unread:?}");
    assert!(read >= FEWEST_READ, "{read}");
    assert!(unread.values().sum::<usize>() <= MOST_UNREAD, "{unread:?}");
}

proptest! {
    #[test]
    fn cut_or_flipped_reports_are_read_or_refused(row in 1_usize..17, at_byte in 0_usize..300, bit in 0_u8..8) {
        let report = EDGE_CASES.lines().filter(|line| !line.starts_with('#')).nth(row % 16).unwrap();
        let mut bytes = report.as_bytes().to_vec();
        let at_byte = at_byte % bytes.len();
        let cut = &bytes.clone()[..at_byte];
        bytes[at_byte] ^= 1 << bit;
        for bytes in [cut, &bytes] {
            let text = String::from_utf8_lossy(bytes);
            match parse_metar(&text, at(RECEIVED)) {
                Ok(metar) => metar.to_weather().check().unwrap(),
                Err(error) => check_message(&error),
            }
            match parse_taf(&text, at(RECEIVED)) {
                Ok(taf) => check_weather(taf.to_weather()),
                Err(error) => check_message(&error),
            }
            if let Err(error) = parse_aviation_reports(bytes, "x", at(RECEIVED)) {
                check_message(&error);
            }
        }
    }

    #[test]
    fn any_text_is_survived(text in "\\PC{0,200}", tokens in "([A-Z0-9/]{1,9} ){0,30}") {
        for text in [text, format!("METAR ENTC 152120Z {tokens}"), format!("TAF ENTC 151700Z 1518/1618 {tokens}")] {
            if let Ok(metar) = parse_metar(&text, at(RECEIVED)) {
                metar.to_weather().check().unwrap();
            }
            if let Ok(taf) = parse_taf(&text, at(RECEIVED)) {
                check_weather(taf.to_weather());
            }
        }
    }
}
