//! Real files, good, bad and strange: every one gets a report, and what is no night sky is not called one.

use frame::FocusState;
use job::{CheckReport, CheckRequest, CheckedScene, check};

/// Reports of every file of a folder of real pictures, where somebody keeps them at hand; they are of too mixed a licence
/// to lie here. `QUIETARC_FRAMES` names the place. Says so where it is left out.
#[expect(clippy::print_stderr, reason = "a test that was left out must say so")]
#[expect(clippy::disallowed_methods, reason = "the crate takes bytes; its tests may read them from a file")]
fn reports(folder: &str) -> Vec<CheckReport> {
    let beside = || std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/frames");
    let folder = std::env::var_os("QUIETARC_FRAMES").map_or_else(beside, std::path::PathBuf::from).join(folder);
    let Ok(entries) = std::fs::read_dir(&folder) else {
        eprintln!("left out: there is no {}; set QUIETARC_FRAMES", folder.display());
        return Vec::new();
    };
    let mut paths: Vec<_> = entries.map(|entry| entry.unwrap().path()).filter(|path| path.is_file()).collect();
    paths.sort();
    let name = |path: &std::path::Path| path.file_name().unwrap().to_string_lossy().into_owned();
    paths
        .iter()
        .map(|path| {
            let request = CheckRequest { name: name(path), ..CheckRequest::default() };
            check(&request, &std::fs::read(path).unwrap())
        })
        .collect()
}

fn is_sharp_night(report: &CheckReport) -> bool {
    let sharp = report.focus.as_ref().is_some_and(|focus| focus.state == FocusState::Sharp);
    report.scene == CheckedScene::NightSky && sharp
}

#[test]
fn pictures_of_stars_are_night_skies() {
    for report in reports("starfield") {
        assert_eq!(report.scene, CheckedScene::NightSky, "{}: {}", report.file, report.scene_why);
        assert!(report.focus.is_some() && report.motion.is_some());
    }
}

#[test]
fn sunsets_storms_and_renderings_are_not_sharp_night_skies() {
    for report in reports("reject").into_iter().chain(reports("trick_art")) {
        assert!(!is_sharp_night(&report), "{}: {}", report.file, report.scene_why);
    }
}

/// Waterfalls, roads and cells under a microscope, most of them without settings.
#[test]
fn pictures_of_other_things_are_not_night_skies() {
    for report in reports("raw_exif") {
        assert_ne!(report.scene, CheckedScene::NightSky, "{}: {}", report.file, report.scene_why);
        assert!(report.focus.is_none(), "{}: {}", report.file, report.scene_why);
    }
}

#[test]
fn every_strange_or_broken_file_gets_a_report() {
    for folder in ["corrupt", "aurora_photo", "video", "allsky_colour", "allsky_mono"] {
        for report in reports(folder) {
            assert!(!report.summary.is_empty(), "{}", report.file);
            assert_eq!(report.scene == CheckedScene::Unreadable, report.size_px.is_none(), "{}", report.file);
        }
    }
}
