//! Magnetograms: composed files first, then real ones where somebody keeps them at hand, then broken ones.

use std::io::Read;

use feeds::FeedError;
use feeds::magnetometer::{Magnetogram, parse_magnetogram};
use job::{MagneticElement, MagneticQuality, MagneticSearch, OnsetStanding, magnetic_events};
use proptest::prelude::*;

use crate::samples::sample;

/// Negative bays in X, composed; three hours of a test station with a gap of twelve minutes.
const BAYS: &str = include_str!("../data/TST_negative-bays.iaga2002.composed.min");

fn read(bytes: &[u8], name: &str) -> Magnetogram {
    let magnetogram = parse_magnetogram(bytes, name).unwrap();
    assert_eq!(magnetogram.rejected, [], "{name}");
    magnetogram
}

fn count(magnetogram: &Magnetogram, element: MagneticElement) -> usize {
    magnetogram.record.values(element).unwrap().iter().flatten().count()
}

#[test]
fn the_composed_file_is_read_with_its_header_and_its_gap() {
    let magnetogram = read(BAYS.as_bytes(), "tst.min");
    let record = &magnetogram.record;
    assert_eq!((record.station_code.as_str(), record.station_name.as_deref()), ("TST", Some("Test Fjord")));
    let place = record.place.unwrap();
    assert!((place.latitude_deg() - 69.3).abs() < 1e-9 && (place.height_m() - 80.0).abs() < 1e-9);
    assert_eq!(record.quality, MagneticQuality::Variation);
    assert_eq!((record.cadence_s, record.steps()), (60.0, 480));
    // the gap runs from minute 200 to 211 as the file's companion says
    let x = record.values(MagneticElement::X).unwrap();
    let gap: Vec<usize> = (0..x.len()).filter(|step| x[*step].is_none()).collect();
    assert_eq!(gap, (200..212).collect::<Vec<_>>());
    assert_eq!(record.time_of(120).unwrap().to_string(), "2026-11-14T20:00:00Z");
}

#[test]
fn column_names_rule_not_columns() {
    let text = " IAGA CODE              ABC     |\nDATE       TIME         DOY     ABCE      ABCH      ABCNUL    ABCF   |\n\
                2026-01-01 00:00:00.000 001  1.5 20000.0 99999.00 88888.00\n2026-01-01 00:00:01.000 001  1.6 20001.0 99999.00 88888.00\n";
    let magnetogram = read(text.as_bytes(), "abc.sec");
    assert_eq!(magnetogram.record.values(MagneticElement::E), Some(&[Some(1.5), Some(1.6)][..]));
    assert_eq!(magnetogram.record.northward().unwrap().0, MagneticElement::H);
    assert_eq!(magnetogram.record.values(MagneticElement::F), Some(&[None, None][..]));
    assert_eq!(magnetogram.record.components.len(), 3, "NUL is no component");
    assert!((magnetogram.record.cadence_s - 1.0).abs() < 1e-12);
}

#[test]
fn missing_rows_are_gaps_and_rows_out_of_order_find_their_place() {
    let head = " IAGA CODE ABC |\nDATE TIME DOY ABCX ABCY ABCZ ABCF |\n";
    let row = |minute: u32, x: f64| format!("2026-01-01 00:{minute:02}:00.000 001 {x} 1 2 3\n");
    let text = format!("{head}{}{}{}{}{}", row(5, 5.0), row(0, 0.5), row(1, 1.0), row(2, 2.0), row(2, 9.0));
    let magnetogram = parse_magnetogram(text.as_bytes(), "abc.min").unwrap();
    let x = magnetogram.record.values(MagneticElement::X).unwrap();
    assert_eq!(x, [Some(0.5), Some(1.0), Some(2.0), None, None, Some(5.0)]);
    assert_eq!(magnetogram.rejected.len(), 1);
    assert!(magnetogram.rejected[0].to_string().contains("second row"), "{}", magnetogram.rejected[0]);
}

#[test]
fn both_shapes_of_one_half_hour_hold_the_same_values() {
    let (Some(text), Some(json)) =
        (sample("magnetometer/BOU_2018-10-24_XYZF_vmin.iaga2002.min"), sample("magnetometer/USGS_BOU_2018-10-24.json"))
    else {
        return;
    };
    let (text, json) = (read(&text, "bou.min").record, read(&json, "bou.json").record);
    assert_eq!((text.start, text.cadence_s, &text.station_code), (json.start, json.cadence_s, &json.station_code));
    assert!((text.place.unwrap().longitude_deg() - json.place.unwrap().longitude_deg()).abs() < 1e-9);
    let mut compared = 0;
    for element in [MagneticElement::X, MagneticElement::Y, MagneticElement::Z, MagneticElement::F] {
        let pairs = text.values(element).unwrap().iter().zip(json.values(element).unwrap());
        for (a, b) in pairs.filter_map(|(a, b)| Some(((*a)?, (*b)?))) {
            assert!((a - b).abs() < 0.006, "{element:?}: {a} {b}");
            compared += 1;
        }
    }
    assert!(compared > 40, "{compared}");
}

#[test]
fn real_quirks_are_read() {
    use MagneticElement::{E, F, H, U, X};
    for (name, steps, element, code) in [
        ("magnetometer/BOU_2020-05-20_HE-NUL_vmin.iaga2002.min", 60, H, "BOU"),
        ("magnetometer/LLO_2020-01-06_short-header.iaga2002.min", 0, U, "LLO"),
        ("magnetometer/WIC_2018-08-29_EHZF_1s.iaga2002.sec", 0, E, "WIC"),
    ] {
        let Some(bytes) = sample(name) else { return };
        let magnetogram = read(&bytes, name);
        assert_eq!(magnetogram.record.station_code, code);
        assert!(count(&magnetogram, element) > 10, "{name}");
        assert!(magnetogram.record.steps() >= steps, "{name}: {}", magnetogram.record.steps());
        assert_eq!(magnetogram.record.northward().is_none(), element == U, "{name}");
        assert!(magnetogram.record.values(X).is_none() && (element == E) == magnetogram.record.values(F).is_some());
    }
}

#[test]
fn a_day_of_seconds_is_read_whole() {
    for (name, latitude) in [("cmo20140407vsec.sec.gz", 64.874), ("sit20140408vsec.sec.gz", 57.058)] {
        let Some(packed) = sample(&format!("../magnetometer/{name}")) else { return };
        let mut bytes = Vec::new();
        flate2::read::GzDecoder::new(&packed[..]).read_to_end(&mut bytes).unwrap();
        let magnetogram = read(&bytes, name);
        assert_eq!((magnetogram.record.cadence_s, magnetogram.record.steps()), (1.0, 86400), "{name}");
        assert!((magnetogram.record.place.unwrap().latitude_deg() - latitude).abs() < 1e-9);
        assert!(count(&magnetogram, MagneticElement::H) > 80000, "{name}");
        assert!(matches!(parse_magnetogram(&packed, name), Err(FeedError::NotWeather { .. })));
    }
}

#[test]
fn what_is_no_magnetogram_is_refused_with_a_remedy() {
    for (bytes, says) in [
        (&b""[..], "empty"),
        (b"<html></html>", "HTML"),
        (b"{\"metadata\":{\"status\":400,\"error\":\"bad id\"}}", "bad id"),
        (b"{\"times\":[],\"values\":[]}", "component"),
        (b"{\"times\":[\"2026-01-01T00:00:00Z\"],\"values\":[{\"id\":\"X\",\"values\":[]}]}", "`values` has 0"),
        (b"{\"times\":[1", "JSON"),
        (b"nothing of the kind", "no line of column names"),
        (b"DATE TIME DOY ABCNUL |\n", "none of them a component"),
        (b"DATE TIME DOY ABCX |\n", "missing"),
        (b"DATE TIME DOY ABCX |\n2026-01-01 00:00 001 12\n", "fewer than two"),
        (b"DATE TIME DOY ABCX |\n2026-01-01 00:00 001 99999\n2026-01-01 00:01 001 88888\n", "missing"),
        (b"DATE TIME DOY ABCX |\n2026-13-01 00:00 001 12\n", "none of its 1 rows"),
    ] {
        let error = parse_magnetogram(bytes, "a file").unwrap_err();
        assert!(error.to_string().contains(says), "{error} does not say {says}");
        assert!(!error.hint().is_empty());
    }
}

#[test]
fn two_rows_far_apart_take_no_memory() {
    let text =
        "DATE TIME DOY ABCX |\n0001-01-01 00:00:00 001 1\n0001-01-01 00:00:01 001 1\n9999-01-01 00:00:00 001 2\n";
    let magnetogram = parse_magnetogram(text.as_bytes(), "wide").unwrap();
    assert_eq!(magnetogram.record.steps(), 2);
    assert_eq!(magnetogram.rejected.len(), 1);
}

/// What the script that composed the file put into it.
#[test]
fn the_composed_bays_have_the_onsets_expected() {
    #[derive(serde::Deserialize)]
    struct Expected {
        onset_minutes_after_start: Vec<i64>,
        #[serde(rename = "depth_nT_parameter")]
        depth_nt: Vec<f64>,
    }
    let expected: Expected =
        serde_json::from_str(include_str!("../data/TST_negative-bays.composed.expected.json")).unwrap();
    let record = read(BAYS.as_bytes(), "tst.min").record;
    let search = MagneticSearch { depth_nt: 200.0, ..MagneticSearch::default() };
    let events = magnetic_events(&record, &search).unwrap();
    let minutes: Vec<i64> =
        events.onsets.iter().map(|onset| onset.at.duration_since(record.start).as_secs() / 60).collect();
    assert_eq!(minutes, expected.onset_minutes_after_start);
    for (onset, parameter) in events.onsets.iter().zip(&expected.depth_nt) {
        // the parameter is the height of a pulse before it is rounded off; the file's own minima lie 0.6 to 0.75 of it below
        let share = onset.depth_nt / parameter;
        assert!((0.5..0.9).contains(&share), "{} of {parameter}", onset.depth_nt);
        // 20 UT at 16 east is before magnetic midnight, at a magnetic latitude of 66 degrees
        assert_eq!(onset.standing, OnsetStanding::Likely);
    }
    assert_eq!(events.spike_count, 0);
    assert!(events.untried_minutes.unwrap() >= 12, "the gap of twelve minutes");
    assert_eq!(events.bays.len(), 2, "{:?}", events.bays);
}

/// The companion note of the record: more than 500 nT below the day's median of 12355.2 nT from 15:35:40 to 16:08:09, and one
/// sample of 15342.12 nT at 16:19:35, which is no event.
#[test]
fn a_real_bay_is_found_and_a_real_spike_refused() {
    let Some(packed) = sample("../magnetometer/cmo20140407vsec.sec.gz") else { return };
    let mut bytes = Vec::new();
    flate2::read::GzDecoder::new(&packed[..]).read_to_end(&mut bytes).unwrap();
    let record = read(&bytes, "cmo.sec").record;
    let events = magnetic_events(&record, &MagneticSearch::default()).unwrap();
    assert!((events.quiet_nt - 12355.2).abs() < 0.05, "{}", events.quiet_nt);
    let bays: Vec<String> = events.bays.iter().map(|bay| format!("{} {}", bay.from, bay.to)).collect();
    assert_eq!(bays, ["2014-04-07T15:35:40Z 2014-04-07T16:08:09Z"]);
    let spike = events.spikes.iter().find(|spike| spike.at.to_string() == "2014-04-07T16:19:35Z").unwrap();
    assert!((spike.value_nt - 15342.12).abs() < 1e-9 && (spike.surroundings_nt - 12355.0).abs() < 600.0);
    assert!(events.onsets.iter().all(|onset| onset.depth_nt < 1500.0), "{:?}", events.onsets);
}

/// Days without substorms: ranges of 34 and 44 nT.
#[test]
fn quiet_days_hold_no_event() {
    for name in ["bou20141101vmin.min", "bou20141102vmin.min", "sit20140408vsec.sec.gz"] {
        let Some(packed) = sample(&format!("../magnetometer/{name}")) else { return };
        let mut bytes = Vec::new();
        if packed.starts_with(&[0x1f, 0x8b]) {
            flate2::read::GzDecoder::new(&packed[..]).read_to_end(&mut bytes).unwrap();
        } else {
            bytes = packed;
        }
        let events = magnetic_events(&read(&bytes, name).record, &MagneticSearch::default()).unwrap();
        assert!(events.bays.is_empty() && events.onsets.is_empty(), "{name}: {:?} {:?}", events.bays, events.onsets);
        assert!(events.steps.is_empty(), "{name}: {:?}", events.steps);
    }
}

proptest! {
    #[test]
    fn no_bytes_are_too_bad(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        if let Err(error) = parse_magnetogram(&bytes, "x") {
            prop_assert!(!error.hint().is_empty());
        }
    }

    #[test]
    fn a_broken_magnetogram_is_refused_or_read(cut in 0..BAYS.len(), at in 0..BAYS.len(), byte in any::<u8>()) {
        let mut bytes = BAYS.as_bytes()[..cut].to_vec();
        if let Some(target) = bytes.get_mut(at) {
            *target = byte;
        }
        if let Ok(magnetogram) = parse_magnetogram(&bytes, "x") {
            prop_assert!(magnetogram.record.steps() <= 691_200);
        }
    }
}
