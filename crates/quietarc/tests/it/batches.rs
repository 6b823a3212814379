//! Batch files: a bad row is named by its line, the rest is done.

use crate::program::{quietarc, stderr, stdout};

fn batch(arguments: &[&str], text: &str) -> std::process::Output {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("rows.csv");
    std::fs::write(&file, text).unwrap();
    quietarc(&[arguments, &["--batch", file.to_str().unwrap()]].concat())
}

#[test]
fn a_bad_row_is_named_and_the_others_are_done() {
    let text = "utc,lat_deg,lon_deg,elev_m\n2026-01-01T00:00:00Z,69,15,0\n2026-01-01T00:00:00Z,95,15,0\n2026-01-01T00:00:00Z,-45,170,0\n";
    let output = batch(&["almanac"], text);
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(stdout(&output).lines().count(), 3, "header and two rows");
    assert!(stderr(&output).contains("line 3: latitude in degrees 95 is outside -90 to 90"), "{}", stderr(&output));
}

#[test]
fn a_wrong_header_is_refused_with_the_right_one() {
    let output = batch(&["magnetic"], "a,b\n1,2\n");
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("lat_deg,lon_deg,height_km,utc"));
}

#[test]
fn magnetic_rows_carry_the_field_of_their_own_date() {
    // 69.65 N 18.96 E at the ground, 2025-01-01: IGRF-14 by an independent evaluator (ppigrf).
    let output = batch(&["magnetic"], "lat_deg,lon_deg,height_km,utc\n69.65,18.96,0,2025-01-01T00:00:00Z\n");
    assert_eq!(output.status.code(), Some(0));
    let row: Vec<f64> =
        stdout(&output).lines().nth(1).unwrap().split(',').skip(4).map(|c| c.parse().unwrap()).collect();
    assert!(
        (row[0] - 10615.4).abs() < 1.0 && (row[1] - 2028.2).abs() < 1.0 && (row[2] - 52722.4).abs() < 1.0,
        "{row:?}"
    );
}

#[test]
fn impossible_places_end_with_code_two_and_a_remedy() {
    let output = quietarc(&["almanac", "--lat", "95", "--lon", "0"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("hint: give latitude in degrees between -90 and 90"));
    let output = quietarc(&["outlook", "--lat", "69", "--lon", "15", "--kp", "12", "--night", "2026-03-14"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("outside 0 to 9"), "{}", stderr(&output));
}
