//! Could aurora be seen there then: claims with time and place against published Kp in the journal, by the program.

use serde_json::Value;

use crate::house::House;
use crate::program::{stderr, stdout};

/// Kp of 10 to 12 May 2024 (GFZ, definitive; doi 10.5880/Kp.0001, CC BY 4.0): 8.667 from 21 to 24 UTC on the 10th, 9.0 from 9 to
/// 12 UTC on the 11th, 2.0 from 12 to 15 UTC on the 12th.
const KP: &[u8] = include_bytes!("../../../feeds/tests/data/kp_2024-05-10_12.json");
/// An invented picture of an aurora, drawn by the project.
const AURORA: &[u8] = include_bytes!("../../data/demo_frame.composed.jpg");
/// Error of the definitive index, as in `ActivityKind::kp_sigma`: thirds are rounded.
const DEFINITIVE_SIGMA: f64 = 0.096;
/// Digits of JSON.
const ROUNDING: f64 = 1e-3;

/// A desk whose journal has those three days.
fn house() -> House {
    let house = House::new("");
    let folder = house.path("bodies");
    std::fs::create_dir(&folder).unwrap();
    std::fs::write(folder.join("gfz_kp.json"), KP).unwrap();
    let output = house.feeds(&["pull", "--from", folder.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(0), "{}{}", stdout(&output), stderr(&output));
    house
}

/// The row on aurora of the picture sent with such a claim.
fn row(house: &House, number: u32, at: &str, [latitude, longitude]: [&str; 2]) -> Value {
    let path = house.path(&format!("{number}.jpg"));
    // other bytes behind the picture: another submission
    std::fs::write(&path, [AURORA, number.to_string().as_bytes()].concat()).unwrap();
    let claim = ["--claim-time", at, "--claim-lat", latitude, "--claim-lon", longitude];
    let taken = house.run(&[&["desk", "take", path.to_str().unwrap()][..], &claim].concat());
    assert!(taken.status.success(), "{}{}", stdout(&taken), stderr(&taken));
    let shown = house.run(&["desk", "show", &number.to_string(), "--json"]);
    let whole: Value = serde_json::from_str(&stdout(&shown)).unwrap();
    let checks = whole["evidence"]["checks"].as_array().unwrap();
    checks.iter().find(|check| check["kind"] == "aurora").unwrap().clone()
}

fn evidence<'a>(row: &'a Value, name: &str) -> &'a Value {
    let all = row["evidence"].as_array().unwrap();
    all.iter().find(|one| one["name"] == name).expect(name)
}

/// The number and its bounds.
fn bounds(row: &Value, name: &str) -> [f64; 3] {
    let value = &evidence(row, name)["value"];
    ["low", "value", "high"].map(|field| value[field].as_f64().expect(field))
}

#[test]
fn a_storm_is_consistent_a_quiet_night_and_daylight_are_not_and_without_readings_nobody_can_tell() {
    let house = house();
    // the storm that was photographed from the south of Europe and from New Zealand
    let storms = [("2024-05-10T22:30:00Z", ["54.0", "9.0"], 8.667), ("2024-05-11T10:00:00Z", ["-45.0", "169.0"], 9.0)];
    for (number, (at, place, kp)) in (1..).zip(storms) {
        let row = row(&house, number, at, place);
        assert_eq!(row["verdict"], "consistent", "{row}");
        let [low, value, high] = bounds(&row, "Kp");
        assert!((value - kp).abs() < ROUNDING && (high - value - DEFINITIVE_SIGMA).abs() < ROUNDING, "{row}");
        assert!((value - low - DEFINITIVE_SIGMA).abs() < ROUNDING, "{row}");
        let [low, value, high] = bounds(&row, "brightest expected");
        assert!(0.0 < low && low < value && value < high, "arcs spread about their mean: {row}");
        let whose = evidence(&row, "Kp by")["text"].as_str().unwrap();
        assert!(whose.contains("GFZ") && whose.contains("definitive"), "{whose}");
    }
    // the same picture, said to be of the north of New Zealand two nights later, at a Kp of 2
    let quiet = row(&house, 3, "2024-05-12T13:00:00Z", ["-37.0", "175.0"]);
    assert_eq!(quiet["verdict"], "inconsistent", "{quiet}");
    let [_low, value, high] = bounds(&quiet, "brightest expected at the upper end of Kp");
    assert!(value <= high && high < bounds(&quiet, "brightest in the picture")[0], "{quiet}");
    // noon in the midst of the storm
    let daylight = row(&house, 4, "2024-05-11T10:30:00Z", ["54.0", "9.0"]);
    assert_eq!(daylight["verdict"], "inconsistent", "{daylight}");
    // 17.9 degrees north is the sun's declination on 11 May (Astronomical Almanac 2024): 54 degrees high at 54 N
    let [low, value, high] = bounds(&daylight, "sun's altitude by the claim");
    assert!(low < value && value < high && (45.0..55.0).contains(&value), "{daylight}");
    // a year of which nothing is stored
    let untold = row(&house, 5, "2023-02-26T22:30:00Z", ["54.0", "9.0"]);
    assert_eq!(untold["verdict"], "cannot_tell", "{untold}");
    assert!(untold["sentence"].as_str().unwrap().contains("no Kp is known"), "{untold}");
    assert!((0.0..=9.0).contains(&bounds(&untold, "least Kp for aurora on a camera")[1]), "{untold}");
}

/// Own frames and a kept outlook of that hour and coast, though no Kp is known: there was aurora to be seen.
#[test]
fn own_frames_and_outlooks_are_asked_about_a_claim() {
    let house = House::new("");
    let done = |arguments: &[&str]| {
        let output = house.run(arguments);
        assert!(output.status.success(), "{arguments:?}: {}{}", stdout(&output), stderr(&output));
    };
    let frame = house.path("own.jpg");
    std::fs::write(&frame, AURORA).unwrap();
    done(&["site", "add", "Skerrow Bay", "--lat", "69.2", "--lon", "15.1"]);
    done(&[
        "kit",
        "add",
        "Plain",
        "--pixel-um",
        "6",
        "--width-px",
        "6000",
        "--height-px",
        "4000",
        "--focal-mm",
        "20",
        "--f-number",
        "1.8",
    ]);
    let night = ["outlook", "--site", "Skerrow Bay", "--night", "2026-11-10", "--kp", "4", "--no-feeds"];
    done(&[&night[..], &["--asked-at", "2026-11-10T12:00:00Z", "--save", "That night"]].concat());
    let before = row(&house, 1, "2026-11-10T20:32:00Z", ["69.9", "16.5"]);
    let text = evidence(&before, "outlook kept for That night")["text"].as_str().unwrap().to_owned();
    // 0.7 degrees of latitude are 78 km, 1.4 of longitude there 54: 95 km
    assert!(
        text.contains("95 km away") && text.contains("2026-11-10 12:00 UTC") && text.contains("estimates"),
        "{text}"
    );
    assert_eq!(before["verdict"], "cannot_tell", "an outlook alone settles nothing: {before}");
    done(&["read", frame.to_str().unwrap(), "--save", "That night"]);
    let after = row(&house, 2, "2026-11-10T20:32:00Z", ["69.9", "16.5"]);
    assert_eq!(after["verdict"], "consistent", "{after}");
    assert!(after["sentence"].as_str().unwrap().contains("Own frames 95 km away show aurora"), "{after}");
    assert!(evidence(&after, "own frames")["text"].as_str().unwrap().contains("aurora on 1 of 1 frame"), "{after}");
    // another coast, another night
    for (number, at, place) in
        [(3, "2026-11-10T20:32:00Z", ["60.0", "16.5"]), (4, "2026-11-12T20:32:00Z", ["69.9", "16.5"])]
    {
        let row = row(&house, number, at, place);
        let names =
            row["evidence"].as_array().unwrap().iter().filter_map(|one| one["name"].as_str().map(str::to_owned));
        assert!(names.into_iter().all(|name| name != "own frames" && !name.starts_with("outlook kept")), "{row}");
    }
}
