//! Sequences by command: what is read, what is left out and why, and plain refusals.

use std::path::PathBuf;
use std::process::Command;

use serde_json::Value;

use crate::check::TEST_FRAME;
use crate::house::House;
use crate::program::{quietarc, stderr, stdout};

/// A frame, the same again and a page: one is read, the others are named with the reason, and the code is 1.
#[test]
fn what_does_not_follow_on_is_left_out_with_the_reason() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["a.jpg", "b.jpg"] {
        std::fs::copy(TEST_FRAME, folder.path().join(name)).unwrap();
    }
    std::fs::write(folder.path().join("c.jpg"), "<html>").unwrap();
    let output = quietarc(&["read", "--json", "--utc-offset", "0", folder.path().to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(1), "{}", stderr(&output));
    let report: Value = serde_json::from_str(&stdout(&output)).unwrap();
    assert_eq!(report["frames"]["read"], 1);
    let skips = report["frames"]["skips"].as_array().unwrap();
    assert_eq!(skips.iter().map(|skip| skip["name"].as_str().unwrap()).collect::<Vec<_>>(), ["b.jpg", "c.jpg"]);
    assert!(skips[0]["reason"].as_str().unwrap().contains("its time is not after"), "{skips:?}");
}

#[test]
fn nothing_to_read_and_a_video_without_its_program_are_refused_with_a_remedy() {
    let folder = tempfile::tempdir().unwrap();
    let output = quietarc(&["read", folder.path().to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("there is no picture to read"), "{}", stderr(&output));
    let video = folder.path().join("night.mp4");
    std::fs::write(&video, "no video").unwrap();
    // no folder of programs: neither ffmpeg nor ffprobe can be found
    let output = Command::new(env!("CARGO_BIN_EXE_quietarc")).arg("read").arg(&video).env("PATH", "").output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("is not installed"), "{}", stderr(&output));
}

/// The report goes with its outing, and `outing show` says so; an outing that is not there is said before anything is read.
#[test]
fn a_reading_is_kept_with_its_outing() {
    let house = House::new("");
    let run = |arguments: &[&str], code: i32| {
        let output = house.run(arguments);
        assert_eq!(output.status.code(), Some(code), "{arguments:?}: {}{}", stdout(&output), stderr(&output));
        format!("{}{}", stdout(&output), stderr(&output))
    };
    run(&["site", "add", "Skerrow Bay", "--lat", "69.15", "--lon", "15.65", "--time-zone", "Europe/Oslo"], 0);
    run(
        &["outlook", "--site", "Skerrow Bay", "--night", "2026-03-14", "--kp", "4", "--no-feeds", "--save", "A test"],
        0,
    );
    let read = |outing: &str, code| run(&["read", "--utc-offset", "0", "--save", outing, TEST_FRAME], code);
    assert!(read("Another", 2).contains("outing list"));
    assert!(read("A test", 0).contains("kept with outing 1, A test"));
    let shown = run(&["outing", "show", "1"], 0);
    assert!(shown.contains(&format!("read: {TEST_FRAME}: 1 frames")), "{shown}");
}

/// Gillam, 10 March 2014, moonlit, 40 frames at 3 s by the imager's own description (`SOURCES.md` of the real pictures).
#[test]
#[expect(clippy::print_stdout, reason = "says why it tests nothing")]
fn a_moonlit_research_sequence_is_read_without_aurora_or_pulsation() {
    /// Interval of the imager, s, and how far its clock may be off it.
    const INTERVAL_S: [f64; 2] = [3.0, 0.05];
    let beside = || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/frames");
    let folder = std::env::var_os("QUIETARC_FRAMES").map_or_else(beside, PathBuf::from).join("allsky_mono");
    let files = ["20140310_0600_gill_themis19_full.pgm.gz", "20140310_0601_gill_themis19_full.pgm.gz"];
    let files = files.map(|name| folder.join(name));
    if !files.iter().all(|file| file.is_file()) {
        println!("skipped: the real pictures are not here");
        return;
    }
    let [first, second] = files.each_ref().map(|file| file.to_str().unwrap());
    let place = ["read", "--json", "--lat", "56.3539", "--lon", "-94.6557", "--all-sky"];
    let output = quietarc(&[&place[..], &[first, second]].concat());
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let report: Value = serde_json::from_str(&stdout(&output)).unwrap();
    assert_eq!((&report["frames"]["read"], &report["frames"]["skipped"]), (&40.into(), &0.into()));
    let interval_s = report["frames"]["interval_s"].as_f64().unwrap();
    assert!((interval_s - INTERVAL_S[0]).abs() < INTERVAL_S[1], "{interval_s}");
    // four stars: directions by the circle of sky and the moon, whose uncertainty is said
    let assumed = &report["lens"]["assumed"];
    assert!(assumed["words"].as_str().unwrap().contains("the moon"), "{}", report["lens"]);
    assert!(assumed["azimuth_sigma_deg"].as_f64().unwrap() > 1.0, "{assumed}");
    assert!(report["keogram"]["columns"].as_array().is_some_and(|columns| !columns.is_empty()));
    assert!(report["pulsation"]["cells_judged"].as_u64().unwrap() > 100, "{}", report["pulsation"]);
    assert_eq!((&report["aurora"]["yes"], &report["forms"]), (&0.into(), &serde_json::json!([])));
    let patches = report["pulsation"]["patches"].as_array().map_or(0, Vec::len);
    let brightenings = report["brightenings"].as_array().map_or(0, Vec::len);
    assert_eq!((patches, brightenings), (0, 0));
}

/// Rabbit Lake, 5 February 2013, 20 frames at 6 s through a mosaic of colours, dark and clear: a low arc and stars, by eye (75 %
/// sure) and by `SOURCES.md` of the real pictures. One arc over all of it, and not one that comes and goes from frame to frame.
#[test]
#[expect(clippy::print_stdout, reason = "says why it tests nothing")]
fn a_low_arc_of_a_research_sequence_is_told_once_over_all_of_it() {
    /// Part of the looks that show the arc by themselves, at least: it stands there in all of them.
    const LEAST_AGREEING: f64 = 0.75;
    let beside = || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/frames");
    let folder = std::env::var_os("QUIETARC_FRAMES").map_or_else(beside, PathBuf::from).join("allsky_mono");
    let files = ["20130205_0500_rabb_rainbow-08_full.pgm.gz", "20130205_0501_rabb_rainbow-08_full.pgm.gz"];
    let files = files.map(|name| folder.join(name));
    if !files.iter().all(|file| file.is_file()) {
        println!("skipped: the real pictures are not here");
        return;
    }
    let [first, second] = files.each_ref().map(|file| file.to_str().unwrap());
    let output = quietarc(&["read", "--json", "--kp", "2", first, second]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let report: Value = serde_json::from_str(&stdout(&output)).unwrap();
    assert_eq!((&report["frames"]["read"], &report["lens"]["solved"]), (&20.into(), &true.into()));
    assert_eq!(report["aurora"]["no"], 0, "{}", report["aurora"]);
    let forms = report["forms"].as_array().unwrap();
    // SOURCES.md: "arc along the top edge"
    assert_eq!(forms.len(), 1, "{forms:?}");
    let form = &forms[0];
    let reasons = form["reasons"].to_string();
    assert_eq!(form["name"], "arc", "{form}");
    assert!(reasons.contains("ridge of light") && reasons.contains("magnetic latitude"), "{reasons}");
    let [looks, agreeing] = ["looked_at", "frames"].map(|key| form[key].as_f64().unwrap());
    assert!(agreeing >= LEAST_AGREEING * looks && looks >= 10.0, "{agreeing} of {looks}");
    assert!(form["confidence"].as_f64().unwrap() < 0.7, "without colour nothing is surer");
    let brightenings = report["brightenings"].as_array().map_or(0, Vec::len);
    assert_eq!(brightenings, 0);
}
