//! Forms of the aurora in single pictures: rendered scenes of known forms, and real photographs whose forms somebody described
//! (`SOURCES.md` of the real pictures). Told right or not told: a confident wrong name is a defect.

#![expect(clippy::print_stdout, reason = "the answers are wanted when the tests run with --nocapture")]

use std::path::PathBuf;

use scene::{Development, render, sample};
use serde_json::Value;

use crate::program::{quietarc, stderr, stdout};

/// Names and reasons of the forms in a picture.
fn forms(name: &str, path: &str, more: &[&str]) -> Vec<Option<String>> {
    let output = quietarc(&[&["read", "--json", path], more].concat());
    assert!(matches!(output.status.code(), Some(0 | 1)), "{name}: {}", stderr(&output));
    let report: Value = serde_json::from_str(&stdout(&output)).unwrap();
    let forms = report["forms"].as_array().unwrap();
    println!(
        "{name}: {} {} lens {} {}",
        report["aurora"], report["frames"]["skips"], report["lens"]["solved"], report["forms"]
    );
    forms.iter().map(|form| form["name"].as_str().map(str::to_owned)).collect()
}

/// Scenes, the names that are right for them, and whether one of these must be told.
const SCENES: [(&str, &[&str], bool); 6] = [
    ("quiet_arc", &["arc", "arc_or_band"], true),
    ("folded_bands", &["rayed_band", "rays"], true),
    ("corona", &["corona"], true),
    ("pulsating", &["veil"], false),
    ("cloudy", &["band", "rayed_band", "rays", "arc_or_band"], false),
    ("empty", &[], false),
];

#[test]
fn rendered_forms_are_told_right_or_not_at_all() {
    let folder = tempfile::tempdir().unwrap();
    for (name, right, must) in SCENES {
        let jpeg = render(&sample(name).unwrap(), 7).unwrap().to_jpeg(&Development::default()).unwrap();
        let path = folder.path().join(format!("{name}.jpg"));
        std::fs::write(&path, jpeg).unwrap();
        let told = forms(name, path.to_str().unwrap(), &[]);
        for said in told.iter().flatten() {
            assert!(right.contains(&said.as_str()), "{name} is called {said}");
        }
        assert!(!must || told.iter().any(Option::is_some), "{name} is not told");
    }
}

/// Real pictures and the names that fit what `SOURCES.md` says of them; those without aurora have none.
const PICTURES: [(&str, &[&str]); 9] = [
    ("aurora_photo/Fig11_RAGDA_DonnaLach.jpg", &["veil"]),
    ("aurora_photo/Fig13b_AuroraNLC_Eero_Karvinen.jpg", &["rayed_band", "rays", "arc_or_band"]),
    ("aurora_photo/Fig7b_SAR-LesLadbrook.jpg", &["red_arc", "arc_or_band"]),
    ("allsky_colour/20211030_060500_149606_gill_rgb-04_320ms_burst.png", &["arc", "arc_or_band"]),
    ("allsky_colour/LYR-Sony-111220_200933.jpg", &["arc", "arc_or_band"]),
    ("reject/EveningGlow_2560x1600.jpg", &[]),
    ("reject/Storm.jpg", &[]),
    ("reject/sunset_by_Aitzol_Berasategi.jpg", &[]),
    ("trick_art/Ubuntu-Mate-Warm-no-logo.png", &[]),
];

/// Where somebody keeps the real pictures.
fn real_folder() -> PathBuf {
    let beside = || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/frames");
    std::env::var_os("QUIETARC_FRAMES").map_or_else(beside, PathBuf::from)
}

/// The report of the files of a real sequence that are there; none where none is.
fn sequence(files: &[&str], place: [&str; 2]) -> Option<Value> {
    let paths: Vec<String> =
        files.iter().map(|name| real_folder().join("allsky_mono").join(name).display().to_string()).collect();
    if !paths.iter().all(|path| PathBuf::from(path).is_file()) {
        println!("left out: there is no {}; set QUIETARC_FRAMES", files[0]);
        return None;
    }
    let folder = tempfile::tempdir().unwrap();
    let journal = folder.path().join("journal.sqlite");
    let mut arguments = vec!["read", "--json", "--lat", place[0], "--lon", place[1]];
    arguments.extend(["--journal", journal.to_str().unwrap()]);
    arguments.extend(paths.iter().map(String::as_str));
    let output = quietarc(&arguments);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    Some(serde_json::from_str(&stdout(&output)).unwrap())
}

/// Part of the looks that show the arc by themselves, at least: it stands there in all of them (`SOURCES.md`).
const LEAST_AGREEING: f64 = 0.75;

/// Rabbit Lake, twenty frames in two minutes: "arc along the top edge, many stars". One arc, and not one that comes and goes.
#[test]
fn the_arc_of_a_real_grey_sequence_is_told_once_over_all_of_it() {
    let files = ["20130205_0500_rabb_rainbow-08_full.pgm.gz", "20130205_0501_rabb_rainbow-08_full.pgm.gz"];
    let Some(report) = sequence(&files, ["58.17", "-103.66"]) else { return };
    println!("{} {}", report["aurora"], report["forms"]);
    let forms = report["forms"].as_array().unwrap();
    assert_eq!(forms.len(), 1, "{forms:?}");
    assert_eq!(forms[0]["name"], "arc");
    let [looks, agreeing] = ["looked_at", "frames"].map(|key| forms[0][key].as_f64().unwrap());
    assert!(agreeing >= LEAST_AGREEING * looks && looks >= 10.0, "{agreeing} of {looks}");
    assert!(forms[0]["confidence"].as_f64().unwrap() < 0.7, "without colour nothing is surer");
}

/// Gillam under the moon: no aurora, no form, no pulsation.
#[test]
fn a_moonlit_real_sequence_has_no_form() {
    let files = ["20140310_0600_gill_themis19_full.pgm.gz", "20140310_0601_gill_themis19_full.pgm.gz"];
    let Some(report) = sequence(&files, ["56.3539", "-94.6557"]) else { return };
    assert_eq!(report["aurora"]["yes"], 0);
    assert!(report["forms"].as_array().unwrap().iter().all(|form| form["name"].is_null()), "{}", report["forms"]);
    let patches = report["pulsation"]["patches"].as_array();
    assert!(patches.is_none_or(Vec::is_empty), "{patches:?}");
}

#[test]
fn forms_of_real_pictures_are_told_right_or_not_at_all() {
    for (name, right) in PICTURES {
        let path = real_folder().join(name);
        if !path.is_file() {
            println!("left out: there is no {name}; set QUIETARC_FRAMES");
            continue;
        }
        for said in forms(name, path.to_str().unwrap(), &["--utc-offset", "0"]).iter().flatten() {
            assert!(right.contains(&said.as_str()), "{name} is called {said}");
        }
    }
}
