//! Minute estimates, hemispheric power and the precipitation grid of NOAA.

use std::io::Read;

use feeds::FeedError;
use feeds::noaa::{Hemisphere, PrecipitationGrid, parse_hemispheric_power, parse_kp_minutes, parse_precipitation_grid};
use job::ActivityKind;
use quantity::{GeoPosition, Timestamp};

use crate::samples::sample;

/// Values printed with two decimals of a third.
const PRINTED: f64 = 0.006;

/// Lines as published in September 2026, one without values, one of an older layout with one time.
pub(crate) const POWER: &str = "\
#Aurora Hemispheric Power Tabular Values
# Missing Data:  (n/a)
# Observation        Forecast            North-Hemispheric-Power-Index    South-Hemispheric-Power-Index-GigaWatts
2026-09-11_12:20    2026-09-11_13:21      36      38
2026-09-11_12:25    2026-09-11_13:26      n/a     37
2026-09-11_12:30    2026-09-11_13:31      n/a     n/a
2026-09-11_23:00    2026-09-12_00:00      15      15
";

fn at(text: &str) -> Timestamp {
    text.parse().unwrap()
}

/// Minutes of 0.67 that come to 3.0 by 06:00, start again at 0 and climb.
pub(crate) fn minutes(until: i64) -> String {
    let start = at("2026-07-09T03:00:00Z").as_second();
    let rows: Vec<String> = (0..until)
        .map(|minute| {
            let time = Timestamp::from_second(start + 60 * minute).unwrap().to_string();
            let thirds = if minute < 180 { (minute / 20).min(9) } else { ((minute - 180) / 15).min(6) };
            let kp = [0.0, 0.33, 0.67, 1.0, 1.33, 1.67, 2.0, 2.33, 2.67, 3.0][usize::try_from(thirds).unwrap()];
            format!(r#"{{"time_tag":"{}","kp_index":1,"estimated_kp":{kp},"kp":"1M"}}"#, time.trim_end_matches('Z'))
        })
        .collect();
    format!("[{}]", rows.join(","))
}

#[test]
fn the_estimate_that_has_just_started_again_is_no_quiet() {
    let running = |until: i64| parse_kp_minutes(minutes(until).as_bytes(), "k").unwrap().running().unwrap();
    // the interval before came to 2.67
    let just_begun = running(181);
    assert!(just_begun.last_kp < 0.01 && (just_begun.kp - 2.667).abs() < PRINTED, "{just_begun:?}");
    assert_eq!((just_begun.from, just_begun.to), (at("2026-07-09T06:00:00Z"), at("2026-07-09T09:00:00Z")));
    let half_way = running(211);
    assert!((half_way.kp - (0.5 * 2.667 + 0.5 * half_way.last_kp)).abs() < PRINTED, "{half_way:?}");
    let later = running(270);
    assert!((later.kp - later.last_kp).abs() < 1e-12, "{later:?}");
}

#[test]
fn a_rise_shows_at_once_and_without_the_interval_before_nothing_is_said() {
    let text = minutes(185);
    let (before, last) = text.rsplit_once("\"estimated_kp\":0,").unwrap();
    let text = format!("{before}\"estimated_kp\":5.67,{last}");
    let running = parse_kp_minutes(text.as_bytes(), "k").unwrap().running().unwrap();
    assert!((running.kp - 5.667).abs() < PRINTED, "{running:?}");
    let short = r#"[{"time_tag":"2026-07-09T06:05:00","estimated_kp":0.0},{"time_tag":"2026-07-09T06:06:00","estimated_kp":0.33}]"#;
    assert_eq!(parse_kp_minutes(short.as_bytes(), "k").unwrap().running(), None);
}

#[test]
fn minutes_come_to_intervals() {
    let minutes = parse_kp_minutes(minutes(300).as_bytes(), "k").unwrap();
    let intervals = minutes.intervals();
    assert_eq!(
        intervals.iter().map(|i| i.kind).collect::<Vec<_>>(),
        [ActivityKind::Preliminary, ActivityKind::Nowcast]
    );
    assert!((intervals[0].kp - 2.667).abs() < PRINTED);
    assert_eq!(intervals[1].from, at("2026-07-09T06:00:00Z"));
}

#[test]
fn the_captured_minutes_show_both_resets() {
    let Some(bytes) = sample("swpc/planetary_k_index_1m.2026-07-09.json") else { return };
    let read = parse_kp_minutes(&bytes, "k").unwrap();
    assert_eq!((read.minutes().samples.len(), read.minutes().rejected.len()), (358, 0));
    // it fell from 1.00 to 0 at 06:00 and from 2.33 to 0 at 09:00
    let came_to: Vec<f64> = read.intervals().iter().map(|interval| interval.kp).collect();
    assert!((came_to[0] - 1.0).abs() < PRINTED && (came_to[1] - 2.333).abs() < PRINTED, "{came_to:?}");
    // cut at each minute, the estimate never falls to near nothing after a reset
    for newest in
        read.minutes().samples.iter().map(|minute| minute.at).filter(|newest| *newest >= at("2026-07-09T06:00:00Z"))
    {
        let rows: Vec<serde_json::Value> = serde_json::from_slice(&bytes).unwrap();
        let rows: Vec<_> =
            rows.into_iter().filter(|row| at(&format!("{}Z", row["time_tag"].as_str().unwrap())) <= newest).collect();
        let cut = parse_kp_minutes(serde_json::to_string(&rows).unwrap().as_bytes(), "k").unwrap();
        let running = cut.running().unwrap();
        assert!(running.kp >= 0.6 && running.kp >= running.last_kp, "{running:?}");
    }
}

#[test]
fn another_table_is_no_table_of_minutes() {
    let error = parse_kp_minutes(crate::NOAA_OBJECTS.as_bytes(), "k").unwrap_err();
    assert_eq!(error.to_string(), "k: `estimated_kp` is absent");
    assert!(matches!(parse_kp_minutes(b"[]", "k").unwrap_err(), FeedError::NotWeather { .. }));
    let wild = br#"[{"time_tag":"2026-07-09T06:05:00","estimated_kp":99}]"#;
    assert!(matches!(parse_kp_minutes(wild, "k").unwrap_err(), FeedError::NoGoodRow { .. }));
}

#[test]
fn power_is_read_with_its_real_lead_and_its_missing_values() {
    let read = parse_hemispheric_power(POWER.as_bytes(), "power").unwrap();
    assert_eq!((read.samples.len(), read.missing.as_slice()), (3, &[at("2026-09-11T12:30:00Z")][..]));
    let first = &read.samples[0];
    assert_eq!(first.valid_at.duration_since(first.observed_at.unwrap()).as_secs(), 61 * 60);
    assert_eq!((first.power_gw(), read.samples[1].power_gw()), (Some(37.0), Some(37.0)));
    assert_eq!(read.samples[2].valid_at, at("2026-09-12T00:00:00Z"), "across midnight");
}

#[test]
fn older_layouts_of_power_are_read() {
    for line in ["2018-03-11 00:35   15  17", "2018-03-11_00:35 15 17", "2018-03-11_00:35   (n/a)   17"] {
        let read = parse_hemispheric_power(line.as_bytes(), "power").unwrap();
        assert_eq!((read.samples[0].observed_at, read.samples[0].valid_at), (None, at("2018-03-11T00:35:00Z")));
        assert_eq!(read.samples[0].south_gw, Some(17.0));
    }
    for bad in [
        "2018-03-11_00:35 15",
        "15 17",
        "2018-03-11_00:35 2018-03-11_00:00 15 17",
        "2018-13-11_00:35 15 17",
        "2018-03-11_00:35 99999 1",
    ] {
        assert!(matches!(parse_hemispheric_power(bad.as_bytes(), "p"), Err(FeedError::NoGoodRow { .. })), "{bad}");
    }
    let header: String = POWER.lines().filter(|line| line.starts_with('#')).collect();
    assert!(matches!(parse_hemispheric_power(header.as_bytes(), "p"), Err(FeedError::NoSamples { .. })));
}

#[test]
fn captured_power_is_read_whole() {
    let Some(bytes) = sample("swpc/aurora-nowcast-hemi-power.2026-09.rows.txt") else { return };
    let read = parse_hemispheric_power(&bytes, "power").unwrap();
    assert_eq!((read.samples.len(), read.rejected.len()), (11, 0));
    let leads: Vec<i64> =
        read.samples.iter().map(|row| row.valid_at.duration_since(row.observed_at.unwrap()).as_secs() / 60).collect();
    assert!(leads.iter().all(|lead| (59..=64).contains(lead)), "{leads:?}");
}

fn place(lat: f64, lon: f64) -> GeoPosition {
    GeoPosition::new(lat, lon, 0.0).unwrap()
}

/// A grid with a value for each cell.
fn grid(value: impl Fn(i32, i32) -> i32) -> String {
    let cells = (0..360).flat_map(|lon| (-90..=90).map(move |lat| (lon, lat)));
    let cells: Vec<String> = cells.map(|(lon, lat)| format!("[{lon},{lat},{}]", value(lon, lat))).collect();
    format!(
        r#"{{"Observation Time":"2024-12-09T16:57:00Z","Forecast Time":"2024-12-09T17:52:00Z",
        "Data Format":"[Longitude, Latitude, Aurora]","coordinates":[{}],"type":"MultiPoint"}}"#,
        cells.join(",")
    )
}

fn read_grid(text: &str) -> PrecipitationGrid {
    parse_precipitation_grid(text.as_bytes(), "grid").unwrap()
}

#[test]
fn each_place_has_the_value_of_its_own_coordinates() {
    let value = |lon: i32, lat: i32| (lon + 7 * lat).rem_euclid(101);
    let read = read_grid(&grid(value));
    for (lat, lon) in [(70, 20), (-65, 200), (89, 0), (-90, 359), (6, 123), (90, 45)] {
        let east = if lon > 180 { lon - 360 } else { lon };
        let found = read.at(place(f64::from(lat), f64::from(east))).unwrap();
        assert!((found - f64::from(value(lon, lat))).abs() < 1e-4, "{lat} {lon}: {found}");
    }
    assert_eq!(read.lead().as_mins(), 55);
}

#[test]
fn between_the_cells_and_across_the_date_line_it_is_linear() {
    let read = read_grid(&grid(|lon, lat| if lon == 0 { lat.abs() } else { 0 }));
    assert!((read.at(place(60.5, 0.0)).unwrap() - 60.5).abs() < 1e-4);
    assert!((read.at(place(60.0, -0.25)).unwrap() - 45.0).abs() < 1e-4);
    assert!((read.at(place(60.0, 0.25)).unwrap() - 45.0).abs() < 1e-4);
    assert!(read.at(place(60.0, 180.0)).unwrap().abs() < 1e-4);
    assert!(read.at(place(60.0, -180.0)).unwrap().abs() < 1e-4);
}

#[test]
fn the_band_at_the_equator_is_dropped_and_the_empty_row_in_the_south_repaired() {
    let read = read_grid(&grid(|_, lat| match lat {
        -2..=0 => 5,
        -90 => 6,
        -89 => 0,
        -88 => 8,
        66 => 40,
        _ => 0,
    }));
    for lat in [0.0, -1.0, 4.9, -4.9] {
        assert_eq!(read.at(place(lat, 10.0)), None, "{lat}");
    }
    assert!((read.at(place(-89.0, 10.0)).unwrap() - 7.0).abs() < 1e-4);
    let north = read.peak_on_meridian(10.0, Hemisphere::North).unwrap();
    assert!((north.latitude_deg - 66.0).abs() < 1e-9 && (north.value - 40.0).abs() < 1e-4);
    let south = read.peak_on_meridian(10.0, Hemisphere::South).unwrap();
    assert!((south.latitude_deg + 88.0).abs() < 1e-9 && (south.value - 8.0).abs() < 1e-4);
    let along = read.peak_along([place(60.0, 0.0), place(65.5, 3.0), place(70.0, 9.0)]).unwrap();
    assert!((along.latitude_deg - 65.5).abs() < 1e-9 && (along.value - 20.0).abs() < 1e-4);
    assert_eq!(read.peak_along([place(1.0, 0.0)]), None);
}

#[test]
fn a_grid_with_holes_or_without_times_is_refused() {
    let whole = grid(|_, _| 1);
    let refused = |text: &str| parse_precipitation_grid(text.as_bytes(), "grid").unwrap_err();
    assert!(matches!(refused(&whole.replace("Forecast Time", "Forecast")), FeedError::BadField { .. }));
    assert!(matches!(refused(&whole.replace("2024-12-09T17:52", "2024-12-09T16:00")), FeedError::BadField { .. }));
    assert!(matches!(
        refused(&whole.replace(",70,1]", ",70,null]").replace(",71,1]", ",71,101]")),
        FeedError::BadField { .. }
    ));
    assert_eq!(read_grid(&whole.replacen(",70,1]", ",70,NaN]", 5)).at(place(70.0, 0.0)), None);
    assert!(matches!(refused("<html>"), FeedError::NotWeather { .. }));
}

#[test]
fn captured_grids_are_clean_of_their_artefacts() {
    for (name, lead_min, maximum) in [
        ("swpc/ovation_aurora_latest.2024-12-09T1657.json.gz", 55, 49.0),
        ("swpc/ovation_aurora_latest.2024-06-06T1826.quiet.json.gz", 72, 13.0),
    ] {
        let Some(bytes) = sample(name) else { return };
        let mut text = String::new();
        flate2::read::GzDecoder::new(bytes.as_slice()).read_to_string(&mut text).unwrap();
        let read = read_grid(&text);
        let peaks = (-180..180).flat_map(|lon| {
            [Hemisphere::North, Hemisphere::South].map(|side| read.peak_on_meridian(f64::from(lon), side).unwrap())
        });
        let peaks: Vec<_> = peaks.filter(|peak| peak.value > 0.0).collect();
        let highest = peaks.iter().map(|peak| peak.value).fold(0.0, f64::max);
        assert!(peaks.iter().all(|peak| peak.latitude_deg.abs() >= 38.0), "{name}: nothing equatorward of 38 degrees");
        assert!(
            (highest - maximum).abs() < 1e-4 && (read.lead().as_mins() - lead_min).abs() <= 20,
            "{name}: {highest} {}",
            read.lead().as_mins()
        );
        assert!(read.at(place(-89.0, 0.0)).unwrap() > 0.0);
    }
}
