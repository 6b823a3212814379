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
