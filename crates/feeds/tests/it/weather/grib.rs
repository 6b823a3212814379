//! GRIB: fields written and read by ecCodes 2.50, wind turned with pyproj 3.7 (tests/data/11*.csv have the recipe),
//! and real model files read in place.

use feeds::FeedError;
use feeds::weather::{
    GribField, GribFile, GribGrid, GribParameter, GribTime, grib_weather, parse_grib_index, places_around,
    weather_entries,
};
use proptest::prelude::*;
use quantity::GeoPosition;

use super::{at, check_message, check_weather, hour};
use crate::samples::sample;

const SIMPLE: &[u8] = include_bytes!("../../data/11_public_latlon_simple.grib2");
const PACKINGS: &[u8] = include_bytes!("../../data/11_public_latlon_packings.grib2");
const LAMBERT: &[u8] = include_bytes!("../../data/11_public_lambert.grib2");
const MESSAGES: &str = include_str!("../../data/11a_grib_messages.csv");
const SAMPLES: &str = include_str!("../../data/11b_grib_samples.csv");
const WINDS: &str = include_str!("../../data/11c_grib_wind_true.csv");
/// Values against ecCodes, relative to the range of the field: the packed integers are the same, what differs is the
/// rounding to the eight digits printed.
const SAME_VALUE: f64 = 1e-6;
/// A mean of some hundred values rounded likewise.
const SAME_MEAN: f64 = 2e-6;
/// Values at a position printed to 1e-6 degree, relative to the range: positions within 2e-4 spacings of a point are
/// at it, so nothing is added to the above.
const SAME_VALUE_AT: f64 = 1e-6;
/// As suggested in 11c: wind is packed in steps of 0.01 m/s.
const WIND_M_S: f64 = 0.01;
const WIND_DEG: f64 = 0.1;
/// Means as printed in the record's list of sources, %.
const SAME_PERCENT: f64 = 1e-3;

fn file(name: &str) -> GribFile<'static> {
    let bytes = match name {
        "11_public_latlon_simple.grib2" => SIMPLE,
        "11_public_latlon_packings.grib2" => PACKINGS,
        "11_public_lambert.grib2" => LAMBERT,
        other => panic!("{other}"),
    };
    let file = GribFile::open(bytes, name).unwrap();
    assert!(file.rejected().is_empty(), "{:?}", file.rejected());
    file
}

/// Rows of a table as cells, under its header.
fn rows(table: &str) -> Vec<Vec<&str>> {
    table.lines().filter(|line| !line.starts_with('#')).skip(1).map(|line| line.split(',').collect()).collect()
}

fn number(text: &str) -> f64 {
    text.parse().unwrap_or_else(|_bad| panic!("{text} is no number"))
}

fn range(grid: &GribGrid) -> f64 {
    let known = || grid.values().iter().filter(|value| !value.is_nan()).copied();
    (known().fold(f64::MIN, f64::max) - known().fold(f64::MAX, f64::min)).max(1.0)
}

fn place(latitude_deg: f64, longitude_deg: f64) -> GeoPosition {
    GeoPosition::new(latitude_deg, longitude_deg, 0.0).unwrap()
}

#[test]
fn every_field_is_what_eccodes_says_it_is() {
    let rows = rows(MESSAGES);
    assert_eq!(rows.len(), 202);
    for cells in rows {
        let file = file(cells[0]);
        let field = &file.fields()[cells[1].parse::<usize>().unwrap()];
        let name = format!("{} {}", cells[0], cells[1]);
        let parameter = GribParameter {
            discipline: cells[2].parse().unwrap(),
            category: cells[3].parse().unwrap(),
            number: cells[4].parse().unwrap(),
        };
        assert_eq!(field.product.parameter, parameter, "{name}");
        assert_eq!(field.product.reference_time, at(&cells[7].replace('Z', ":00Z")), "{name}");
        assert_eq!(field.product.time, GribTime::Instant(at(&cells[9].replace('Z', ":00Z"))), "{name}");
        assert_eq!(field.size(), (cells[11].parse().unwrap(), cells[12].parse().unwrap()), "{name}");
        check_statistics(&file.values(field).unwrap(), &cells, &name);
    }
}

fn check_statistics(grid: &GribGrid, cells: &[&str], name: &str) {
    let tolerance = SAME_VALUE * range(grid);
    let known: Vec<f64> = grid.values().iter().filter(|value| !value.is_nan()).copied().collect();
    assert_eq!(grid.values().len() - known.len(), cells[17].parse::<usize>().unwrap(), "{name}");
    // the table prints six digits of the extremes
    for (found, printed) in [
        (known.iter().copied().fold(f64::MAX, f64::min), cells[18]),
        (known.iter().copied().fold(f64::MIN, f64::max), cells[19]),
    ] {
        assert!(
            (found - number(printed)).abs() <= 5e-6 * number(printed).abs() + tolerance,
            "{name}: {found} {printed}"
        );
    }
    let mean = known.iter().sum::<f64>() / known.len() as f64;
    assert!((mean - number(cells[20])).abs() <= SAME_MEAN * range(grid), "{name}: {mean} {}", cells[20]);
    for (found, printed) in [(grid.values()[0], cells[21]), (grid.values()[grid.values().len() - 1], cells[22])] {
        let same = if found.is_nan() {
            printed.parse::<f64>().is_ok_and(|value| value >= 9999.0 || value.is_nan()) || printed.is_empty()
        } else {
            (found - number(printed)).abs() <= tolerance
        };
        assert!(same, "{name}: {found} {printed}");
    }
}

#[test]
fn values_at_places_agree_with_eccodes_in_every_packing() {
    let rows = rows(SAMPLES);
    assert!(rows.len() > 450);
    let (mut worst, mut missing) = (0.0_f64, 0);
    for cells in rows {
        let file = file(cells[0]);
        let field = &file.fields()[cells[1].parse::<usize>().unwrap()];
        let grid = file.values(field).unwrap();
        let value = grid.values()[cells[2].parse::<usize>().unwrap()];
        let there = grid.at(place(number(cells[5]), number(cells[6])));
        if value.is_nan() {
            missing += 1;
            assert_eq!(there, None, "{cells:?}");
            continue;
        }
        assert!((value - number(cells[7])).abs() <= SAME_VALUE * range(&grid), "{value} {cells:?}");
        let off = (there.unwrap() - number(cells[7])).abs() / range(&grid);
        worst = worst.max(off);
        assert!(off <= SAME_VALUE_AT, "{there:?} {cells:?}");
    }
    assert!(worst < SAME_VALUE_AT && missing > 0, "worst {worst} of the range, {missing} missing");
}

#[test]
fn wind_on_the_lambert_grid_is_turned_to_true_north() {
    let file = file("11_public_lambert.grib2");
    let rows = rows(WINDS);
    assert!(rows.len() >= 60);
    for cells in rows {
        let message: usize = cells[1].parse().unwrap();
        let (east, north) = (&file.fields()[message], &file.fields()[message + 1]);
        let position = place(number(cells[3]), number(cells[4]));
        let (u, v) = (file.values(east).unwrap(), file.values(north).unwrap());
        let [u, v] = GribGrid::wind_at(&u, &v, position).unwrap();
        assert!(
            (u - number(cells[7])).abs() < WIND_M_S && (v - number(cells[8])).abs() < WIND_M_S,
            "{u} {v} {cells:?}"
        );
        let from_deg = (-u).atan2(-v).to_degrees();
        let off = quantity::wrap_degrees_180(from_deg - number(cells[10])).abs();
        assert!(off < WIND_DEG, "{from_deg} {cells:?}");
    }
}

#[test]
fn between_points_the_value_is_linear_and_outside_there_is_none() {
    let file = file("11_public_latlon_simple.grib2");
    let grid = file.values(file.find(GribParameter::meteorology(0, 0), 103).unwrap()).unwrap();
    let corner = |latitude, longitude| grid.at(place(latitude, longitude)).unwrap();
    let mean = (corner(70.0, 20.0) + corner(70.0, 20.5) + corner(69.5, 20.0) + corner(69.5, 20.5)) / 4.0;
    assert!((corner(69.75, 20.25) - mean).abs() < 1e-9);
    for (latitude, longitude) in [(71.6, 20.0), (63.9, 20.0), (70.0, 9.9), (70.0, 30.1), (-70.0, 20.0), (70.0, -160.0)]
    {
        assert_eq!(grid.at(place(latitude, longitude)), None, "{latitude} {longitude}");
    }
}

#[test]
fn a_point_without_value_stays_without_and_spreads_no_further() {
    let file = file("11_public_latlon_packings.grib2");
    let field = &file.fields()[24];
    let grid = file.values(field).unwrap();
    let (columns, _) = grid.size();
    let hole = grid.values().windows(2).position(|pair| pair[0].is_nan() && !pair[1].is_nan()).unwrap();
    assert_eq!(hole / columns, (hole + 1) / columns, "in one row");
    let known = grid.values().iter().filter(|value| !value.is_nan()).count();
    assert_eq!(known, grid.values().len() - 128);
}

#[test]
fn steps_become_hours_with_cloud_at_the_site_and_around_it() {
    let file = file("11_public_latlon_simple.grib2");
    let site = place(69.6, 18.9);
    let around = places_around(site);
    assert_eq!(around.len(), 24);
    let weather = grib_weather(&[&file], site, &around).unwrap();
    weather.check().unwrap();
    assert_eq!(weather.hours.len(), 13);
    assert_eq!(weather.issued_at, Some(at("2026-11-14T06:00:00Z")));
    assert_eq!(weather.hours.last().unwrap().to, at("2026-11-14T19:00:00Z"));
    assert_eq!(weather.around.len(), 24);
    let grid = |step: usize, index: usize| file.values(&file.fields()[step * 8 + index]).unwrap().at(site).unwrap();
    for (step, hour) in weather.hours.iter().enumerate() {
        let layers = [hour.cloud.total, hour.cloud.low, hour.cloud.medium, hour.cloud.high];
        for (index, share) in layers.into_iter().enumerate() {
            assert!((share.unwrap().value() - grid(step, index) / 100.0).abs() < 1e-9, "{step} {index}");
        }
        assert!((hour.temperature_c.unwrap() - (grid(step, 6) - 273.15)).abs() < 1e-9);
        assert!((hour.dew_point_c.unwrap() - (grid(step, 7) - 273.15)).abs() < 1e-9);
        assert!((hour.wind_m_s.unwrap() - grid(step, 4).hypot(grid(step, 5))).abs() < 1e-9);
    }
    // 45 km north is 70.0047 N
    let north = weather.around.iter().find(|around| around.position.latitude_deg() > 70.0).unwrap();
    assert!((north.position.latitude_deg() - 70.0047).abs() < 1e-4);
}

#[test]
fn wind_of_the_lambert_file_comes_from_where_the_table_says() {
    let file = file("11_public_lambert.grib2");
    let first = &rows(WINDS)[0];
    let site = place(number(first[3]), number(first[4]));
    let weather = grib_weather(&[&file], site, &[]).unwrap();
    weather.check().unwrap();
    let hour = &weather.hours[0];
    assert!((hour.wind_m_s.unwrap() - number(first[9])).abs() < WIND_M_S);
    assert!((hour.wind_from_deg.unwrap() - number(first[10])).abs() < WIND_DEG);
    assert!(weather.source.contains("model of"), "{}", weather.source);
}

#[test]
fn a_place_outside_the_grid_and_a_field_that_is_not_there_are_said() {
    let file = file("11_public_lambert.grib2");
    let error = grib_weather(&[&file], place(-45.0, 170.0), &[]).unwrap_err();
    assert!(error.to_string().contains("outside its grid"), "{error}");
    check_message(&error);
    let error = file.find(GribParameter::meteorology(19, 0), 1).err().unwrap();
    assert!(error.to_string().contains("0/19/0"), "{error}");
    check_message(&grib_weather(&[], place(69.0, 19.0), &[]).unwrap_err());
}

#[test]
fn total_cloud_comes_as_percent_or_as_fraction() {
    let bytes = PACKINGS;
    let file = GribFile::open(bytes, "x").unwrap();
    let both = |field: &&GribField<'_>, number| field.product.parameter == GribParameter::meteorology(6, number);
    let of = |number| file.fields().iter().find(|field| both(field, number)).unwrap();
    let (percent, fraction) = (file.values(of(1)).unwrap(), file.values(of(32)).unwrap());
    assert!(percent.values().iter().copied().fold(0.0, f64::max) > 50.0);
    // ecCodes finds 1.00007 too: the last step of the packing
    assert!(fraction.values().iter().copied().fold(0.0, f64::max) < 1.001);
    let mut partly = 0;
    for site in [place(69.5, 20.0), place(66.2, 12.3), place(64.5, 27.1), place(71.0, 11.0)] {
        let weather = grib_weather(&[&file], site, &[]).unwrap();
        let total = weather.hours[0].cloud.total.unwrap().value();
        // packing passes 100 % by 0.0006; a share does not
        let expected = (percent.at(site).unwrap() / 100.0).min(1.0);
        assert!((total - expected).abs() < 1e-9, "{total} {expected}");
        assert!((fraction.at(site).unwrap() - total).abs() < 0.001, "{total}");
        partly += usize::from((0.01..0.99).contains(&total));
    }
    assert!(partly > 0);
}

#[test]
fn three_layers_of_a_real_global_forecast() {
    let Some(bytes) = sample("../grib2/gfs_cloud_low_mid_high_20110110T12_f120.grib2") else { return };
    let file = GribFile::open(&bytes, "gfs").unwrap();
    assert!(file.rejected().is_empty() && file.fields().len() == 3);
    for (field, mean) in file.fields().iter().zip([30.9517, 19.5937, 29.0483]) {
        let grid = file.values(field).unwrap();
        let sum: f64 = grid.values().iter().sum();
        assert!((sum / 10512.0 - mean).abs() < SAME_PERCENT, "{}", sum / 10512.0);
    }
    let site = place(70.0, 20.0);
    let weather = grib_weather(&[&file], site, &places_around(site)).unwrap();
    weather.check().unwrap();
    let cloud = hour(&weather, "2011-01-15T11:00:00Z").cloud;
    let percent = [cloud.low, cloud.medium, cloud.high].map(|share| share.unwrap().value() * 100.0);
    assert!(
        percent.iter().zip([0.0, 0.0, 1.0]).all(|(found, said)| (found - said).abs() < SAME_PERCENT),
        "{percent:?}"
    );
    assert!(weather.source.contains("public domain") && weather.source.contains("mean over 6 h"), "{}", weather.source);
    assert!(weather.at(at("2011-01-15T12:00:00Z")).is_none());
    let seam = grib_weather(&[&file], place(-54.8, -0.7), &[]).unwrap();
    assert!(seam.hours[0].cloud.low.is_some(), "between the last column and the first");
}

#[test]
fn a_model_file_without_cloud_says_so_and_gives_the_rest() {
    let Some(bytes) = sample("../grib2/nam.t00z.awp21100.tm00.grib2") else { return };
    let file = GribFile::open(&bytes, "nam").unwrap();
    assert!(file.rejected().is_empty(), "{:?}", file.rejected());
    assert_eq!(file.fields().len(), 181);
    let weather = grib_weather(&[&file], place(40.0, -105.0), &[]).unwrap();
    weather.check().unwrap();
    let hour = &weather.hours[0];
    assert!(hour.cloud.is_unknown() && weather.source.contains("no cloud field"), "{}", weather.source);
    assert!((-20.0..45.0).contains(&hour.temperature_c.unwrap()) && hour.dew_point_c < hour.temperature_c);
    assert!((0.0..40.0).contains(&hour.wind_m_s.unwrap()) && hour.wind_from_deg.is_some());
    for field in file.fields() {
        file.values(field).unwrap();
    }
}

#[test]
fn edition_1_and_padding_between_messages() {
    if let Some(bytes) = sample("../grib2/era5-levels-corrupted.grib") {
        let error = GribFile::open(&bytes, "era5.grib").unwrap_err();
        assert!(error.to_string().contains("GRIB edition 1, and edition 2 is read"), "{error}");
        check_message(&error);
    }
    let Some(bytes) = sample("../grib2/step_60m.grib") else { return };
    let file = GribFile::open(&bytes, "steps").unwrap();
    assert_eq!((file.fields().len(), file.rejected().len()), (73, 0));
    let weather = grib_weather(&[&file], place(45.5, 9.5), &[]);
    check_weather(weather);
    let times: std::collections::BTreeSet<String> =
        file.fields().iter().map(|field| format!("{:?}", field.product.time)).collect();
    assert_eq!(times.len(), 73, "one a step of minutes");
}

#[test]
fn a_picture_of_twelve_bits_is_refused_and_not_misread() {
    let message = first_message(SIMPLE);
    let section_5 = section(&message, 5);
    let mut bytes = message.clone();
    bytes[section_5 + 9..section_5 + 11].copy_from_slice(&41_u16.to_be_bytes());
    assert_eq!(bytes[section_5 + 19], 12, "bits of a value");
    let file = GribFile::open(&bytes, "x").unwrap();
    let error = file.values(&file.fields()[0]).unwrap_err();
    assert_eq!(
        error.to_string(),
        "x, message 1: its values are a PNG picture of 12 bits, and 1, 2, 4, 8 and 16 can be read rightly"
    );
}

#[test]
fn the_second_message_may_be_broken_and_the_others_read() {
    let first = first_message(SIMPLE);
    let mut bytes = SIMPLE.to_vec();
    bytes[first.len() + 7] = 1;
    let file = GribFile::open(&bytes, "x").unwrap();
    assert_eq!((file.fields().len(), file.rejected().len()), (103, 1));
    assert_eq!(file.rejected()[0].to_string(), "x, message 2: it is GRIB edition 1, and edition 2 is read");
    let cut = GribFile::open(&first[..first.len() - 20], "x").unwrap_err();
    assert!(cut.to_string().contains("it breaks off"), "{cut}");
    assert!(matches!(GribFile::open(b"", "x"), Err(FeedError::Empty { .. })));
    for other in [&b"BZh91AY&SY"[..], b"<html>", b"GRIB", b"CDF\x01"] {
        check_message(&GribFile::open(other, "x").unwrap_err());
    }
}

#[test]
fn lengths_that_no_data_bear_out_are_refused_before_anything_is_made_for_them() {
    // message 8 of the packings: complex with spatial differences
    let file = GribFile::open(PACKINGS, "x").unwrap();
    let start: usize = (0..8).fold(0, |at, _| at + message_length(&PACKINGS[at..]));
    assert_eq!(file.fields()[8].message(), 9);
    let message = &PACKINGS[start..start + message_length(&PACKINGS[start..])];
    let section_5 = section(message, 5);
    for (offset, width) in [(5, 4), (31, 4), (37, 4), (42, 4), (41, 1), (19, 1), (47, 1), (48, 1), (35, 1), (46, 1)] {
        let mut bytes = message.to_vec();
        bytes[section_5 + offset..section_5 + offset + width].fill(0xff);
        let file = GribFile::open(&bytes, "x").unwrap();
        let error = file.values(&file.fields()[0]).unwrap_err();
        check_message(&error);
    }
    let section_3 = section(message, 3);
    let mut bytes = message.to_vec();
    for offset in [6, 30] {
        bytes[section_3 + offset..section_3 + offset + 4].fill(0x7f);
    }
    check_message(&GribFile::open(&bytes, "x").unwrap_err());
}

#[test]
fn the_listing_of_an_alaskan_forecast() {
    let Some(bytes) = sample("weather/grib2_idx.hrrr-alaska.2020-02-10.txt") else { return };
    let entries = parse_grib_index(&bytes, "hrrr.idx").unwrap();
    assert_eq!(entries.len(), 8);
    assert_eq!(entries[1].bytes(), Some(754_142..=1_212_816));
    let chosen: Vec<&str> = weather_entries(&entries).iter().map(|entry| entry.variable.as_str()).collect();
    assert_eq!(chosen, ["TCDC", "LCDC", "MCDC", "HCDC"]);
    assert!(entries.iter().all(is_24_hours));
}

fn is_24_hours(entry: &feeds::weather::GribIndexEntry) -> bool {
    entry.step == "24 hour fcst" && entry.is_instant()
}

fn message_length(bytes: &[u8]) -> usize {
    usize::try_from(u64::from_be_bytes(bytes[8..16].try_into().unwrap())).unwrap()
}

fn first_message(bytes: &[u8]) -> Vec<u8> {
    bytes[..message_length(bytes)].to_vec()
}

/// Where a section of a message begins.
fn section(message: &[u8], number: u8) -> usize {
    let mut at = 16;
    while message[at + 4] != number {
        at += u32::from_be_bytes(message[at..at + 4].try_into().unwrap()) as usize;
    }
    at
}

/// Opens and unpacks everything; only the message counts.
fn survive(bytes: &[u8]) {
    match GribFile::open(bytes, "x") {
        Ok(file) => {
            for field in file.fields() {
                match file.values(field) {
                    Ok(grid) => assert_eq!(grid.values().len(), grid.size().0 * grid.size().1),
                    Err(error) => check_message(&error),
                }
            }
            check_weather(grib_weather(&[&file], place(69.6, 18.9), &[place(69.7, 18.9)]));
        }
        Err(error) => check_message(&error),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]
    #[test]
    fn cut_or_flipped_fields_are_read_or_refused(
        which in 0_usize..58, flips in proptest::collection::vec((any::<prop::sample::Index>(), 0_u8..8), 1..4), cut in any::<Option<prop::sample::Index>>(),
    ) {
        let start: usize = (0..which).fold(0, |at, _| at + message_length(&PACKINGS[at..]));
        let mut bytes = first_message(&PACKINGS[start..]);
        // half of the flips hit the heads of the sections, which are a small part of the message
        for (index, (place, bit)) in flips.iter().enumerate() {
            let reach = if index % 2 == 0 { bytes.len().min(260) } else { bytes.len() };
            let at = place.index(reach);
            bytes[at] ^= 1 << bit;
        }
        if let Some(cut) = cut {
            bytes.truncate(cut.index(bytes.len()));
        }
        survive(&bytes);
    }

    #[test]
    fn cut_or_flipped_listings_are_read_or_refused(at_byte in 0_usize..400, bit in 0_u8..8) {
        let listing = "1:0:d=2020021000:VIS:surface:24 hour fcst:\n2:754142:d=2020021000:LCDC:low cloud layer:anl:\n";
        let mut bytes = listing.as_bytes().to_vec();
        let at_byte = at_byte % bytes.len();
        bytes[at_byte] ^= 1 << bit;
        for bytes in [&bytes[..], &listing.as_bytes()[..at_byte]] {
            match parse_grib_index(bytes, "x") {
                Ok(entries) => drop(weather_entries(&entries)),
                Err(error) => check_message(&error),
            }
        }
    }
}
