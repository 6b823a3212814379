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

/// Middle of real pictures and their width, degrees: solved elsewhere with other programs (sep, tetra3 and a least-squares
/// fit on Hipparcos, to a few hundredths of a degree).
const SOLVED_ELSEWHERE: [(&str, [f64; 3]); 4] = [
    ("orion_belt.jpg", [84.012, -0.771, 10.15]),
    ("orion_trees.jpg", [86.855, 0.497, 10.18]),
    ("pleiades.jpg", [56.176, 25.464, 10.15]),
    ("jan1_g90_e100ms.jpg", [53.203, 13.276, 10.95]),
];
/// Two solutions of one picture differ by less, degrees; the width by less, relative.
const MIDDLE_DEG: f64 = 0.1;
const WIDTH: f64 = 0.02;

#[test]
fn the_stars_say_where_the_camera_looked() {
    for report in reports("starfield") {
        let Some((_, [ra_deg, dec_deg, width_deg])) = SOLVED_ELSEWHERE.iter().find(|(name, _)| *name == report.file)
        else {
            continue;
        };
        let lens = report.lens.unwrap();
        assert!(lens.solved, "{}: {:?}", report.file, lens.why_not);
        let east_deg = (lens.ra_deg.unwrap() - ra_deg) * dec_deg.to_radians().cos();
        let off_deg = east_deg.hypot(lens.dec_deg.unwrap() - dec_deg);
        assert!(off_deg < MIDDLE_DEG, "{}: {off_deg} degrees off", report.file);
        assert!((lens.field_deg.unwrap()[0] / width_deg - 1.0).abs() < WIDTH, "{}: {:?}", report.file, lens.field_deg);
    }
}

/// Share of the scenes told that must be those a person saw: the labels are one person's.
const LEAST_RIGHT: f64 = 0.9;

/// What a person called a picture, and the scenes that say so; `cannot_tell` is never wrong.
fn says(label: &str) -> &'static [CheckedScene] {
    use CheckedScene::{Day, Moonlit, NightSky, NotAPhotograph, Twilight};
    match label {
        "night_sky" | "panorama" => &[NightSky],
        "moonlit" => &[Moonlit],
        "twilight" => &[Twilight],
        "day" => &[Day],
        // no word of its own: a night without stars
        "overcast_night" => &[NightSky, Moonlit],
        // lit as the hour and the lamps are
        "indoor_or_street" => &[Day, Twilight, NotAPhotograph],
        _ => &[NotAPhotograph],
    }
}

#[test]
#[expect(clippy::print_stdout, reason = "the table is wanted when the tests run with --nocapture")]
fn scenes_are_those_that_a_person_saw() {
    let labels = include_str!("../../../frame/tests/data/picture_labels.csv");
    let label = |folder: &str, file: &str| {
        let wanted = format!("{folder}/{file},");
        labels.lines().find_map(|line| line.strip_prefix(&wanted)?.split(',').next().map(str::to_owned))
    };
    let (mut told, mut right, mut seen) = (0, 0, 0);
    for folder in
        ["aurora_photo", "allsky_colour", "allsky_mono", "reject", "trick_art", "starfield", "raw_exif", "corrupt"]
    {
        for report in reports(folder) {
            let Some(label) = label(folder, &report.file) else { continue };
            seen += 1;
            println!("{folder}/{}: {label}: {:?}, {}", report.file, report.scene, report.scene_why);
            if !matches!(report.scene, CheckedScene::CannotTell | CheckedScene::Unreadable) {
                told += 1;
                right += u32::from(says(&label).contains(&report.scene));
            }
            assert!(label != "moonlit" || report.scene == CheckedScene::Moonlit, "{}", report.scene_why);
            // a photograph is never called a drawing
            let is_picture = matches!(label.as_str(), "artwork" | "other" | "indoor_or_street");
            assert!(is_picture || report.scene != CheckedScene::NotAPhotograph, "{}", report.file);
        }
    }
    println!("{right} of {told} right, of {seen}");
    assert!(f64::from(right) >= LEAST_RIGHT * f64::from(told), "{right} of {told}");
    assert!(seen == 0 || told >= 20, "only {told} told");
}

/// All-sky cameras of research stations look up: the middle of their pictures is near the zenith.
const RESEARCH: [&str; 5] = [
    "20130205_0500_rabb_rainbow-08_full.pgm.gz",
    "20130205_0501_rabb_rainbow-08_full.pgm.gz",
    "20220307_0600_gill_nir-216_8446.pgm.gz",
    "20211030_060500_149606_gill_rgb-04_320ms_burst.png",
    "LYR-Sony-20241229_203300.jpg",
];
const NEAR_ZENITH_DEG: f64 = 83.0;

#[test]
fn research_frames_are_solved_by_their_own_time_and_place() {
    for report in reports("allsky_mono").into_iter().chain(reports("allsky_colour")) {
        let lens = report.lens.as_ref();
        if RESEARCH.contains(&report.file.as_str()) {
            let lens = lens.unwrap();
            assert!(lens.solved && !lens.contradicts_time, "{}: {:?}", report.file, lens.why_not);
            assert!(lens.alt_deg.unwrap() > NEAR_ZENITH_DEG, "{}: {lens:?}", report.file);
        }
    }
}
