//! Space weather tables that are cut, flipped, foreign, huge, or from another age.

use std::fmt::Debug;

use feeds::noaa::{
    parse_hemispheric_power, parse_kp_minutes, parse_long_range, parse_precipitation_grid, parse_three_day,
};
use feeds::solar_wind::{SolarWind, parse_field, parse_plasma, parse_propagated};
use feeds::{FeedError, FeedId, newest_sample};
use proptest::prelude::*;

use crate::noaa_products::{POWER, minutes};
use crate::noaa_texts::{LONG_RANGE, THREE_DAY};
use crate::samples::sample;
use crate::solar_wind::{FIELD, PLASMA, PROPAGATED};

/// Two lines to the layout of the text tables of ACE.
const ACE_FIELD: &str = "\
:Data_list: ace_mag_1m.txt
# Missing data values: -999.9
2023 11 01  1541   60249   56460    9  -999.9  -999.9  -999.9  -999.9  -999.9  -999.9
2023 11 01  1542   60249   56520    0    -4.1    -0.2    -1.1     4.3   -14.8   182.8
";
const ACE_PLASMA: &str = "\
2023 11 01  1542   60249   56520    1        1.6      437.8     9.17e+04
2023 11 01  1543   60249   56580    0        1.8      439.2     1.13e+05
";
const RETIRED: &str = r#"[["time_tag","density","speed","temperature"],["2024-05-01 21:33:00.000","6.22","354.3","42924"],
["2024-05-01 21:34:00.000","6.51",null,null]]"#;

/// What a parser made of some bytes, as text, or why it refused.
type Parsed = Result<String, FeedError>;

fn shown<T: Debug>(result: Result<T, FeedError>) -> Parsed {
    result.map(|value| format!("{value:?}"))
}

fn field(bytes: &[u8]) -> Parsed {
    shown(parse_field(bytes, "x"))
}
fn plasma(bytes: &[u8]) -> Parsed {
    shown(parse_plasma(bytes, "x"))
}
fn propagated(bytes: &[u8]) -> Parsed {
    shown(parse_propagated(bytes, "x").map(SolarWind::from))
}
fn kp_minutes(bytes: &[u8]) -> Parsed {
    shown(parse_kp_minutes(bytes, "x").map(|read| (read.running(), read.intervals())))
}
fn power(bytes: &[u8]) -> Parsed {
    shown(parse_hemispheric_power(bytes, "x"))
}
fn three_day(bytes: &[u8]) -> Parsed {
    shown(parse_three_day(bytes, "x"))
}
fn long_range(bytes: &[u8]) -> Parsed {
    shown(parse_long_range(bytes, "x").map(|read| read.intervals()))
}
fn grid(bytes: &[u8]) -> Parsed {
    shown(parse_precipitation_grid(bytes, "x").map(|read| read.lead()))
}

type Parser = fn(&[u8]) -> Parsed;

const PARSERS: [Parser; 8] = [field, plasma, propagated, kp_minutes, power, three_day, long_range, grid];

/// Every shape, with the parser it belongs to; the long ones by their head.
fn good() -> Vec<(Parser, String)> {
    let head = |text: &str, rows: usize| {
        let rows: Vec<&str> = text.lines().take(rows).collect();
        format!("{}]", rows.join("\n").trim_end_matches(','))
    };
    vec![
        (field, head(FIELD, 8)),
        (plasma, head(PLASMA, 8)),
        (propagated, PROPAGATED.to_owned()),
        (plasma, RETIRED.to_owned()),
        (field, ACE_FIELD.to_owned()),
        (plasma, ACE_PLASMA.to_owned()),
        (kp_minutes, minutes(20)),
        (power, POWER.to_owned()),
        (three_day, THREE_DAY.to_owned()),
        (long_range, LONG_RANGE.to_owned()),
        (
            grid,
            r#"{"Observation Time":"2024-12-09T16:57:00Z","Forecast Time":"2024-12-09T17:52:00Z","coordinates":[[0,-90,6],[0,-89,0]]}"#
                .to_owned(),
        ),
    ]
}

/// A message is one line, not endless, and has a remedy.
fn check(result: &Parsed) {
    if let Err(error) = result {
        let message = error.to_string();
        assert!(!message.contains('\n') && !message.is_empty() && message.chars().count() < 300, "{message}");
        assert!(!error.hint().is_empty());
    }
}

#[test]
fn every_shape_cut_at_every_length_is_survived_and_json_that_breaks_off_refused() {
    for (parse, text) in good() {
        let text = text.trim_end();
        for length in 0..text.len() {
            let cut = parse(&text.as_bytes()[..length]);
            check(&cut);
            assert!(cut.is_err() || !text.starts_with(['[', '{']), "JSON cut at {length} of {}", text.len());
        }
    }
}

#[test]
fn a_three_day_text_cut_anywhere_gives_no_value_it_does_not_have() {
    let full = parse_three_day(THREE_DAY.as_bytes(), "x").unwrap().intervals;
    for length in 0..THREE_DAY.len() {
        let Ok(cut) = parse_three_day(&THREE_DAY.as_bytes()[..length], "x") else { continue };
        for interval in cut.intervals {
            assert!(full.contains(&interval), "cut at {length}: {interval:?}");
        }
    }
}

#[test]
fn flipped_bits_are_survived() {
    for (parse, text) in good() {
        for at in 0..text.len() {
            let mut bytes = text.as_bytes().to_vec();
            bytes[at] ^= 1 << (at % 8);
            check(&parse(&bytes));
        }
    }
}

#[test]
fn every_parser_survives_every_other_shape_and_foreign_bodies() {
    let foreign = [
        "",
        " \r\n\t",
        "<!DOCTYPE html><html>",
        "null",
        "true",
        "3",
        "\"text\"",
        "[]",
        "{}",
        "[[]]",
        "[{}]",
        "[null]",
        "[[null]]",
        "[[\"time_tag\"]]",
        "NaN",
        "[NaN]",
        "\u{feff}[]",
        "404: not found",
        "{\"title\":\"gone\",\"status\":404}",
    ];
    for parse in PARSERS {
        for body in foreign {
            let refused = parse(body.as_bytes());
            check(&refused);
            assert!(refused.is_err(), "{body}: {refused:?}");
        }
        for (_, text) in good() {
            check(&parse(text.as_bytes()));
        }
        check(&parse(&[0x1f, 0x8b, 8, 0]));
        check(&parse(b"\x89PNG\r\n\x1a\n\0\0\0"));
        check(&parse("[".repeat(100_000).as_bytes()));
        check(&parse(&vec![b' '; 9 << 20]));
        check(&parse(&vec![b'x'; 9 << 20]));
    }
}

#[test]
fn huge_numbers_and_far_years_are_survived() {
    for (parse, text) in good() {
        for (from, to) in [
            ("2026-", "9999-"),
            ("2026-", "-009999-"),
            ("2026-", "0000-"),
            ("2024-", "9999-"),
            ("2023 ", "9999 "),
            ("2025 ", "9999 "),
            ("2026 ", "9999 "),
            ("2026 ", "0001 "),
            ("1", "1e308"),
            ("1", "999999999999999999999999"),
            ("0", "-1e308"),
            (":", ":99"),
            ("5", "٥"),
        ] {
            check(&parse(text.replace(from, to).as_bytes()));
            check(&parse(text.replacen(from, to, 1).as_bytes()));
        }
    }
}

#[test]
fn captured_files_cut_at_many_lengths_are_survived_by_every_parser() {
    const CUTS: usize = 30;
    for name in [
        "27-day-outlook.2025-01-06.first3.txt",
        "3-day-forecast.2025-01-11.section-A.txt",
        "3-day-forecast.2026-02-01.txt",
        "3-day-geomag-forecast.2023-10-31.txt",
        "3-day-solar-geomag-predictions.2023-10-31.txt",
        "ace-magnetometer.2023-11-01.head.txt",
        "ace-swepam.2023-11-01.head.txt",
        "aurora-nowcast-hemi-power.2026-09.rows.txt",
        "daily-geomagnetic-indices.2023-11-01.txt",
        "noaa-planetary-k-index-forecast.2026-02-09.old-array-form.json",
        "noaa-planetary-k-index.2026.new-object-form.json",
        "ovation_aurora_latest.2024-12-09T1657.json.gz",
        "planetary_k_index_1m.2026-07-09.json",
        "propagated-solar-wind-1-hour.2026-07-31.two-rows.json",
        "rtsw_mag_1m.2024-04-24.ace-active.json",
        "rtsw_wind_1m.2026.quoted-row.json",
        "solar-wind_plasma.2024-05.old-array-form.json",
        "summary_solar-wind.2026-09-27.json",
    ] {
        let Some(bytes) = sample(&format!("swpc/{name}")) else { return };
        for cut in 0..=CUTS {
            let part = &bytes[..bytes.len() * cut / CUTS];
            for parse in PARSERS {
                check(&parse(part));
            }
        }
    }
}

#[test]
fn the_newest_sample_of_any_feed_survives_any_body_at_any_time() {
    for feed in FeedId::ALL {
        for (_, text) in good() {
            for now in [jiff::Timestamp::MIN, jiff::Timestamp::MAX, "2026-09-12T21:42:00Z".parse().unwrap()] {
                if let Err(error) = newest_sample(*feed, text.as_bytes(), now) {
                    check(&Err(error));
                }
            }
        }
    }
}

proptest! {
    #[test]
    fn mutated_samples_are_survived(
        which in 0..11_usize,
        changes in proptest::collection::vec((0.0..1.0_f64, any::<u8>()), 1..12),
        cut in 0.0..1.0_f64,
    ) {
        let (parse, text) = good().swap_remove(which);
        let mut bytes = text.into_bytes();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a place within the body")]
        let place = |share: f64, length: usize| ((share * length as f64) as usize).min(length - 1);
        for (share, byte) in changes {
            let index = place(share, bytes.len());
            bytes[index] = byte;
        }
        check(&parse(&bytes));
        bytes.truncate(place(cut, bytes.len()));
        check(&parse(&bytes));
    }

    #[test]
    fn any_text_of_the_right_letters_is_survived(
        which in 0..8_usize,
        text in "[\\[{]?[0-9 .+a-z\":,\\[\\]{}#TZ_UJan()\n-]{0,300}",
    ) {
        check(&PARSERS[which](text.as_bytes()));
    }

    #[test]
    fn any_bytes_are_survived(which in 0..8_usize, bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        check(&PARSERS[which](&bytes));
    }
}
