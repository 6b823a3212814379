//! Test frames by command and over HTTP: advice first, one line a file, nothing written but what was asked for.

use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};

use job::{AuroraPresence, CheckRequest, check};
use scene::{Development, render, sample};
use serde_json::Value;

use crate::program::{quietarc, stderr, stdout};
use crate::running::serve;

/// The frame of the demo: drawn by `data/test_frame.py` with stars of 1.9 px sigma.
pub(crate) const TEST_FRAME: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/data/test_frame.composed.jpg");

#[test]
fn the_advice_comes_first() {
    let output = quietarc(&["check", TEST_FRAME]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let text = stdout(&output);
    assert!(text.starts_with("- Focus is soft"), "{text}");
    assert!(text.contains("Next: ") && text.contains("aurora    yes") && text.contains(" kR, middling "), "{text}");
}

/// The sun of a clock that is half a day wrong says nothing against light that is there.
#[test]
fn a_wrong_clock_denies_no_aurora() {
    let rendered = render(&sample("quiet_arc").unwrap(), 7).unwrap();
    let bytes = rendered.to_jpeg(&Development::default()).unwrap();
    let at = |hours: i64| {
        let at = rendered.truth.opens_at + jiff::SignedDuration::from_hours(hours);
        check(&CheckRequest { name: "arc.jpg".to_owned(), at: Some(at), ..CheckRequest::default() }, &bytes)
    };
    let (right, wrong) = (at(0), at(12));
    assert!(right.doubts.is_empty(), "{:?}", right.doubts);
    assert!(wrong.doubts.iter().any(|doubt| doubt.contains("clock")), "{:?}", wrong.doubts);
    let [right, wrong] = [right, wrong].map(|report| report.aurora.unwrap());
    assert_eq!(right.present, AuroraPresence::Yes, "{:?}", right.words);
    assert_eq!(wrong.present, AuroraPresence::Yes, "{:?}", wrong.words);
}

/// A frame, a page and a file that is not there: one line of JSON each, and code 1.
#[test]
fn a_batch_goes_on_past_what_cannot_be_read() {
    let folder = tempfile::tempdir().unwrap();
    let page = folder.path().join("page.jpg");
    std::fs::write(&page, "<html>").unwrap();
    let missing = folder.path().join("missing.jpg");
    let output = quietarc(&["check", "--json", page.to_str().unwrap(), missing.to_str().unwrap(), TEST_FRAME]);
    assert_eq!(output.status.code(), Some(1));
    let reports: Vec<Value> = stdout(&output).lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let scenes: Vec<&str> = reports.iter().map(|report| report["scene"].as_str().unwrap()).collect();
    assert_eq!(scenes, ["unreadable", "unreadable", "night_sky"]);
    assert!(stderr(&output).contains("2 of 3 failed"), "{}", stderr(&output));
}

#[test]
fn stars_and_picture_are_saved_and_the_frame_is_left_as_it_was() {
    let folder = tempfile::tempdir().unwrap();
    let frame = folder.path().join("frame.jpg");
    std::fs::copy(TEST_FRAME, &frame).unwrap();
    let mut rights = std::fs::metadata(&frame).unwrap().permissions();
    rights.set_readonly(true);
    std::fs::set_permissions(&frame, rights).unwrap();
    let path = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let (table, svg, png) = (path("stars.csv"), path("found.svg"), path("found.png"));
    for overlay in [&svg, &png] {
        let output = quietarc(&["check", "--stars-csv", &table, "--overlay", overlay, frame.to_str().unwrap()]);
        assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    }
    assert_eq!(std::fs::read(&frame).unwrap(), std::fs::read(TEST_FRAME).unwrap());

    let mut rows = csv::Reader::from_path(&table).unwrap();
    let head: Vec<String> = rows.headers().unwrap().iter().map(str::to_owned).collect();
    assert_eq!(head, ["x_px", "y_px", "flux", "fwhm_px", "hfd_px", "elongation", "angle_deg"]);
    let mut widths: Vec<f64> = rows.records().map(|row| row.unwrap()[3].parse().unwrap()).collect();
    widths.sort_by(f64::total_cmp);
    // 110 were drawn, some of them upon each other; FWHM is 2.355 sigma, sigma was 1.9
    assert!((90..=112).contains(&widths.len()), "{}", widths.len());
    assert!((widths[widths.len() / 2] / (2.355 * 1.9) - 1.0).abs() < 0.05, "{}", widths[widths.len() / 2]);

    let drawn = std::fs::read_to_string(&svg).unwrap();
    // a ring a star, each a piece of one path
    let is_of_stars = |path: &&str| path.contains("data-layer=\"stars\"");
    let rings = drawn.split("<path").find(is_of_stars).unwrap().matches('z').count();
    assert_eq!(rings, widths.len());
    // the picture itself is in it: 840 by 560 pixels with noise are no small file
    assert!(std::fs::metadata(&png).unwrap().len() > 200_000);
}

#[test]
fn what_cannot_be_asked_is_refused() {
    for (arguments, said) in [
        (&["check"][..], "FILE"),
        (&["check", "--overlay", "x.png", TEST_FRAME, TEST_FRAME], "one picture"),
        (&["check", "--sharpest", "-1", TEST_FRAME], "sharpest_hfd_px"),
        (&["check", "--lat", "95", "--lon", "0", TEST_FRAME], "latitude"),
        (&["check", "--lat", "60", TEST_FRAME], "--lon"),
    ] {
        let output = quietarc(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(stderr(&output).contains(said), "{arguments:?}: {}", stderr(&output));
        assert!(stdout(&output).is_empty());
    }
}

/// A picture may be large on the two routes that take one, and on no other.
#[test]
fn pictures_may_be_large_and_requests_may_not() {
    let server = serve(&["serve"]);
    let post = |path: &str, body: &[u8]| {
        let agent: ureq::Agent = ureq::Agent::config_builder().http_status_as_error(false).build().into();
        let mut answer = agent.post(format!("{}{path}", server.address)).send(body).unwrap();
        (answer.status().as_u16(), answer.body_mut().read_to_string().unwrap())
    };
    let two_megabytes = vec![b'x'; 2 << 20];
    let (status, body) = post("api/check?name=x.bin", &two_megabytes);
    assert_eq!(status, 200, "{body}");
    assert!(body.contains("\"scene\":\"unreadable\""), "{body}");
    assert_eq!(post("api/draw/check?name=x.bin", &two_megabytes).0, 422);
    assert_eq!(post("api/check", b"x").0, 422);
    assert_eq!(post("api/check?name=x&kit=none", b"x").0, 422);
    let (status, drawing) = post("api/draw/check?name=t.jpg&palette=dark_eyes", &std::fs::read(TEST_FRAME).unwrap());
    assert_eq!(status, 200);
    assert!(drawing.starts_with("<svg") && drawing.contains("data:image/png;base64,"));
}

/// The lens of a frame that shows no true sky is not kept; that of a real frame is, with its place among the kit's numbers.
#[test]
#[expect(clippy::print_stdout, reason = "a test that was left out must say so")]
fn the_lens_of_a_frame_is_kept_in_the_kit() {
    let folder = tempfile::tempdir().unwrap();
    let journal = folder.path().join("journal.sqlite");
    let journal = journal.to_str().unwrap();
    let add = ["kit", "add", "Small finder", "--pixel-um", "3.75", "--width-px", "1280", "--height-px", "960"];
    let glass = ["--focal-mm", "25", "--f-number", "2", "--journal", journal];
    let output = quietarc(&[&add[..], &glass[..]].concat());
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let kept = ["check", "--kit", "Small finder", "--save-lens", "--journal", journal];
    let output = quietarc(&[&kept[..], &[TEST_FRAME]].concat());
    assert_ne!(output.status.code(), Some(0));
    assert!(stderr(&output).contains("no lens is kept"), "{}", stderr(&output));

    let beside = || std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/frames");
    let frames = std::env::var_os("QUIETARC_FRAMES").map_or_else(beside, std::path::PathBuf::from);
    let frame = frames.join("starfield/jan1_g90_e100ms.jpg");
    if !frame.exists() {
        println!("left out: there is no {}; set QUIETARC_FRAMES", frame.display());
        return;
    }
    let output = quietarc(&[&kept[..], &[frame.to_str().unwrap()]].concat());
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    // 6674 px of 3.75 um, solved elsewhere with other programs
    assert!(stdout(&output).contains("kept in \"Small finder\": 25.0"), "{}", stdout(&output));
    let output = quietarc(&["kit", "show", "Small finder", "--json", "--journal", journal]);
    let kit: Value = serde_json::from_str(&stdout(&output)).unwrap();
    let focal_px = kit["lens"]["profile"]["focal_px"].as_f64().unwrap();
    assert!((focal_px / 6674.4 - 1.0).abs() < 0.005, "{focal_px}");
    // other numbers leave it, another focal length drops it
    let change = ["kit", "change", "Small finder", "--journal", journal];
    assert_eq!(quietarc(&[&change[..], &["--iso", "800"]].concat()).status.code(), Some(0));
    let shown = stdout(&quietarc(&["kit", "show", "Small finder", "--journal", journal]));
    assert!(shown.contains("by stars    25.0"), "{shown}");
    assert_eq!(quietarc(&[&change[..], &["--focal-mm", "35"]].concat()).status.code(), Some(0));
    let shown = stdout(&quietarc(&["kit", "show", "Small finder", "--journal", journal]));
    assert!(!shown.contains("by stars"), "{shown}");
}

/// While shooting: what was there before is left alone, what arrives is checked once it has stopped growing, and a folder
/// that goes away and comes back is watched on.
#[test]
fn a_watched_folder_gives_a_report_for_every_new_picture() {
    let folder = tempfile::tempdir().unwrap();
    let card = folder.path().join("card");
    std::fs::create_dir(&card).unwrap();
    std::fs::copy(TEST_FRAME, card.join("before.jpg")).unwrap();
    let mut child = Command::new(env!("CARGO_BIN_EXE_quietarc"))
        .args(["check", "--json", "--watch", card.to_str().unwrap()])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut reports = BufReader::new(child.stdout.take().unwrap()).lines().map_while(Result::ok);
    let mut notes = BufReader::new(child.stderr.take().unwrap()).lines().map_while(Result::ok);
    let mut note_with = |words: &str| notes.find(|line| line.contains(words)).expect("the program says so");
    note_with("watching");
    let mut arrives = |name: &str| {
        std::fs::copy(TEST_FRAME, card.join(name)).unwrap();
        let report: Value = serde_json::from_str(&reports.next().unwrap()).unwrap();
        assert_eq!(report["file"], name);
        assert!(report["stars"]["count"].as_u64().unwrap() > 0, "{report}");
    };
    arrives("first.jpg");
    let aside = folder.path().join("aside");
    std::fs::rename(&card, &aside).unwrap();
    note_with("looking again until it can be read");
    std::fs::rename(&aside, &card).unwrap();
    note_with("can be read again");
    arrives("second.jpg");
    child.kill().unwrap();
    child.wait().unwrap();
}

/// Against the sharpest frame of a lens that the kit keeps: the same stars twice as wide are said to be so.
#[test]
fn a_kit_keeps_its_sharpest_stars_and_later_frames_are_measured_by_them() {
    let folder = tempfile::tempdir().unwrap();
    let journal = folder.path().join("journal.sqlite");
    let journal = journal.to_str().unwrap();
    let add = ["kit", "add", "Sharp one", "--pixel-um", "6", "--width-px", "640", "--height-px", "480"];
    let glass = ["--focal-mm", "20", "--f-number", "2", "--journal", journal];
    assert_eq!(quietarc(&[&add[..], &glass[..]].concat()).status.code(), Some(0));
    let save = |name: &str, sigma_px: f64| {
        let path = folder.path().join(name);
        std::fs::write(&path, star_field(sigma_px)).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let (sharp, soft) = (save("sharp.jpg", 1.1), save("soft.jpg", 2.2));
    let keep = ["check", "--kit", "Sharp one", "--save-sharpest", "--journal", journal, &sharp];
    let output = quietarc(&keep);
    assert!(stdout(&output).contains("kept in \"Sharp one\": stars 2."), "{}{}", stdout(&output), stderr(&output));
    let output = quietarc(&["check", "--kit", "Sharp one", "--json", "--journal", journal, &soft]);
    let report: Value = serde_json::from_str(&stdout(&output)).unwrap();
    let times = report["focus"]["over_sharpest"]["value"].as_f64().unwrap();
    assert!((times / 2.0 - 1.0).abs() < TIMES_SHARE, "{times}");
    // a series of widths has its lowest point where the cone is cut through its tip
    let files: Vec<String> = [-2.0f64, -1.0, 0.0, 1.0, 2.0]
        .iter()
        .map(|ring| save(&format!("ring{ring}.jpg"), 1.1f64.hypot(0.6 * (ring - 0.4))))
        .collect();
    let asked = ["check", "--json", "--focus-series", "--ring=-2,-1,0,1,2"];
    let all: Vec<&str> = asked.into_iter().chain(files.iter().map(String::as_str)).collect();
    let output = quietarc(&all);
    let last: Value = serde_json::from_str(stdout(&output).lines().last().unwrap()).unwrap();
    let best = last["focus_series"]["answer"]["position"]["value"].as_f64().unwrap();
    assert!((best - 0.4).abs() < RING_MISS, "{last}");
    let output = quietarc(&["check", "--focus-series", "--ring=1,2", &sharp]);
    assert!(stderr(&output).contains("--ring names 2 places for 1 files"), "{}", stderr(&output));
}

/// How well the widths of two hundred drawn stars are measured, as a share: noise of 1 % each and the edges of windows.
const TIMES_SHARE: f64 = 0.08;
/// How far the best place of five widths may be off, steps: a tenth of the step.
const RING_MISS: f64 = 0.1;

/// A picture of stars of one width at places that follow no pattern, 8 bits of sRGB.
fn star_field(sigma_px: f64) -> Vec<u8> {
    let mut state = 7u32;
    let mut next = |range: f64| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(state >> 8) / f64::from(1u32 << 24) * range
    };
    let mut light = vec![0.02; 640 * 480];
    for pixel in &mut light {
        *pixel += 0.002 * (next(1.0) + next(1.0) + next(1.0) - 1.5);
    }
    for _ in 0..200 {
        let (x, y) = (20.0 + next(600.0), 20.0 + next(440.0));
        let flux = 1.5 + 4.0 * next(1.0);
        for (place, pixel) in light.iter_mut().enumerate() {
            let [column, row] = [place % 640, place / 640].map(|value| f64::from(u32::try_from(value).unwrap()));
            let off2 = ((column - x).powi(2) + (row - y).powi(2)) / (sigma_px * sigma_px);
            if off2 < 30.0 {
                *pixel += flux * (-0.5 * off2).exp() / (std::f64::consts::TAU * sigma_px * sigma_px);
            }
        }
    }
    let byte = |light: f64| {
        let light = light.clamp(0.0, 1.0);
        let value = if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 };
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 255")]
        let byte = (255.0 * value).round() as u8;
        byte
    };
    let bytes: Vec<u8> = light.into_iter().map(byte).collect();
    let mut jpeg = Vec::new();
    jpeg_encoder::Encoder::new(&mut jpeg, 96).encode(&bytes, 640, 480, jpeg_encoder::ColorType::Luma).unwrap();
    jpeg
}

/// The frame of the demo: rendered by `scene`, with its truth beside it.
pub(crate) const DEMO_FRAME: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo_frame.composed.jpg");
pub(crate) const DEMO_TRUTH: &str = include_str!("../../data/demo_frame.truth.json");
/// The middle of a solved frame, degrees: the solution claims better than a pixel, which is 0.04 degrees here.
pub(crate) const MIDDLE_DEG: f64 = 0.1;

#[test]
fn the_demo_frame_is_solved_calibrated_and_called_aurora() {
    let output = quietarc(&["check", "--json", DEMO_FRAME]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let report: Value = serde_json::from_str(&stdout(&output)).unwrap();
    assert_eq!(report["aurora"]["present"], "yes", "{}", report["aurora"]);
    let kr = &report["aurora"]["brightest_kr"];
    let number = |key: &str| kr[key].as_f64().unwrap();
    assert!(0.0 < number("low") && number("low") < number("value") && number("value") < number("high"), "{kr}");
    let truth: Value = serde_json::from_str(DEMO_TRUTH).unwrap();
    assert_eq!(report["lens"]["solved"], true, "{}", report["lens"]);
    let off = report["lens"]["alt_deg"].as_f64().unwrap() - truth["middle"]["altitude_deg"].as_f64().unwrap();
    assert!(off.abs() < MIDDLE_DEG, "the middle is {off} degrees off");
}

/// Columns and rows of a PNG, by its first chunk (ISO/IEC 15948, 11.2.2).
fn png_size(bytes: &[u8]) -> [u32; 2] {
    assert_eq!(&bytes[..8], b"\x89PNG\r\n\x1a\n");
    [16, 20].map(|at| u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap()))
}

#[test]
fn the_sharpest_and_the_softest_part_are_saved_side_by_side() {
    let folder = tempfile::tempdir().unwrap();
    let picture = folder.path().join("parts.png");
    let output = quietarc(&["check", "--crops", picture.to_str().unwrap(), DEMO_FRAME]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let text = stdout(&output);
    assert!(text.contains(": side by side in ") && text.contains(" px wide"), "{text}");
    assert_eq!(png_size(&std::fs::read(&picture).unwrap()), [480 + 8 + 480, 480]);
    let refused = quietarc(&["check", "--crops", "parts.gif", DEMO_FRAME]);
    assert!(stderr(&refused).contains("does not end in .png"), "{}", stderr(&refused));
}

/// No browser opens a raw file: the program cuts its parts.
#[test]
fn the_parts_of_a_raw_frame_are_cut_for_the_page() {
    let rendered = scene::render(&scene::sample("quiet_arc").unwrap(), 1).unwrap();
    let server = serve(&["serve"]);
    let agent: ureq::Agent = ureq::Agent::config_builder().http_status_as_error(false).build().into();
    let post = |name: &str, body: &[u8]| {
        let mut answer = agent.post(format!("{}api/check/parts?name={name}", server.address)).send(body).unwrap();
        let words = answer.headers().get("quietarc-words").map(|words| words.to_str().unwrap().to_owned());
        (answer.status().as_u16(), words, answer.body_mut().read_to_vec().unwrap())
    };
    let (status, words, body) = post("frame.dng", &rendered.to_dng());
    assert_eq!(status, 200, "{}", String::from_utf8_lossy(&body));
    assert!(words.is_some_and(|words| words.contains(" px wide")));
    assert_eq!(png_size(&body), [320 + 8 + 320, 320]);
    let (status, _words, body) = post("page.dng", b"<html>");
    assert_eq!(status, 422, "{}", String::from_utf8_lossy(&body));
    let mut example = agent.get(format!("{}api/check/example", server.address)).call().unwrap();
    assert_eq!(example.body_mut().read_to_vec().unwrap(), std::fs::read(DEMO_FRAME).unwrap());
}
