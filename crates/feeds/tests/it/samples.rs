//! Whole files as captured from the agencies, where somebody keeps them at hand; they are too large, or of too mixed a
//! licence, to lie here. `QUIETARC_RECORDS` names the folder that holds `gfz/` and `swpc/`.

use std::path::PathBuf;

use feeds::{FeedError, KpFormat, KpSeries, parse_kp};

/// The folder, or a line saying that these tests were left out.
#[expect(clippy::print_stderr, reason = "a test that was left out must say so")]
pub(crate) fn sample(name: &str) -> Option<Vec<u8>> {
    let beside = || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/records/feeds");
    let folder = std::env::var_os("QUIETARC_RECORDS").map_or_else(beside, PathBuf::from);
    let bytes = std::fs::read(folder.join(name)).ok();
    if bytes.is_none() {
        eprintln!("left out: there is no {name} in {}; set QUIETARC_RECORDS", folder.display());
    }
    bytes
}

fn clean(bytes: &[u8], name: &str) -> KpSeries {
    let series = parse_kp(bytes, name).unwrap();
    assert_eq!(series.rejected_summary(), None);
    series
}

#[test]
fn a_whole_year_of_wdc_has_every_interval() {
    let Some(bytes) = sample("gfz/Kp_def2009.wdc") else { return };
    assert_eq!(clean(&bytes, "Kp_def2009.wdc").intervals.len(), 365 * 8);
}

#[test]
fn a_whole_month_of_tab_has_every_interval() {
    let Some(bytes) = sample("gfz/kp1902.tab") else { return };
    assert_eq!(clean(&bytes, "kp1902.tab").intervals.len(), 28 * 8);
}

#[test]
fn the_text_table_as_published_has_no_bad_row() {
    let Some(bytes) = sample("gfz/Kp_ap_Ap_SN_F107_since_1932.excerpt.txt") else { return };
    assert_eq!(clean(&bytes, "since_1932").intervals.len(), 22 * 8);
}

#[test]
fn half_hourly_answers_are_refused() {
    for name in ["gfz/Hp30_2009-01.json", "gfz/hp30_json.2026-09-17.no-status.json"] {
        let Some(bytes) = sample(name) else { return };
        assert!(matches!(parse_kp(&bytes, name), Err(FeedError::WrongIndex { .. })), "{name}");
    }
}

#[test]
fn the_week_and_the_forecast_of_noaa_are_read_in_both_shapes() {
    for (name, format, intervals) in [
        ("swpc/noaa-planetary-k-index.2026-02-09.old-array-form.json", KpFormat::NoaaObserved, 62),
        ("swpc/noaa-planetary-k-index.2026.new-object-form.json", KpFormat::NoaaObserved, 4),
        ("swpc/noaa-planetary-k-index-forecast.2026-02-09.old-array-form.json", KpFormat::NoaaForecast, 81),
        ("swpc/noaa-planetary-k-index-forecast.2026.new-object-form.json", KpFormat::NoaaForecast, 4),
    ] {
        let Some(bytes) = sample(name) else { return };
        let series = clean(&bytes, name);
        assert_eq!((series.format, series.intervals.len()), (format, intervals), "{name}");
    }
}

#[test]
fn every_other_file_is_refused_or_read_without_a_panic_also_when_cut() {
    for name in ["swpc/planetary_k_index_1m.2026-07-09.json", "swpc/3-day-forecast.2026-02-01.txt", "gfz/kp1902.tab"] {
        let Some(bytes) = sample(name) else { return };
        for length in (0..bytes.len()).step_by(97) {
            if let Err(error) = parse_kp(&bytes[..length], name) {
                assert!(!error.hint().is_empty());
            }
        }
    }
}
