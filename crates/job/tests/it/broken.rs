//! Real pictures cut short and changed, through the whole check: always a report in plain words, and soon.

use std::time::{Duration, Instant};

use job::{CheckReport, CheckRequest, CheckedScene, check};

/// Folders of real pictures.
const FOLDERS: [&str; 7] =
    ["allsky_colour", "allsky_mono", "aurora_photo", "corrupt", "raw_exif", "reject", "starfield"];
/// Lengths a file is cut at, as shares of its own.
const CUTS: [f64; 4] = [0.003, 0.1, 0.5, 0.97];
/// Files up to this size are cut at all of them; of larger ones half, to keep the test short.
const SMALL_BYTES: usize = 400_000;
/// Where heads and directories lie.
const HEAD_BYTES: usize = 2_048;
/// Longest check of a broken file: pictures of 2.5 megapixels take a tenth of a second, and a busy machine with checks on
/// takes many times that; a loop without end takes longer than any of this.
const LONGEST: Duration = Duration::from_mins(1);

/// Files of a folder, where somebody keeps it at hand; `QUIETARC_FRAMES` names the place. Says so where it is left out.
#[expect(clippy::print_stderr, reason = "a test that was left out must say so")]
#[expect(clippy::disallowed_methods, reason = "the crate takes bytes; its tests may read them from a file")]
fn files(folder: &str) -> Vec<(String, Vec<u8>)> {
    let beside = || std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/frames");
    let folder = std::env::var_os("QUIETARC_FRAMES").map_or_else(beside, std::path::PathBuf::from).join(folder);
    let Ok(entries) = std::fs::read_dir(&folder) else {
        eprintln!("left out: there is no {}; set QUIETARC_FRAMES", folder.display());
        return Vec::new();
    };
    let mut files: Vec<(String, Vec<u8>)> = entries
        .map(|entry| entry.unwrap())
        .filter_map(|entry| Some((entry.file_name().into_string().ok()?, std::fs::read(entry.path()).ok()?)))
        .collect();
    files.sort();
    files
}

#[expect(clippy::disallowed_methods, reason = "the crate asks no clock; a test of how long it takes does")]
fn checked(name: &str, bytes: &[u8]) -> CheckReport {
    let start = Instant::now();
    let report = check(&CheckRequest { name: name.to_owned(), ..CheckRequest::default() }, bytes);
    assert!(start.elapsed() < LONGEST, "{name}: {:?}", start.elapsed());
    report
}

/// One line that names the file and says what to do, or a whole report.
fn assert_speaks(report: &CheckReport) {
    let is_one_line = !report.summary.is_empty() && !report.summary.contains(char::is_control);
    assert!(is_one_line, "{}: {:?}", report.file, report.summary);
    if report.scene == CheckedScene::Unreadable {
        assert!(report.summary.starts_with(&report.file) && report.summary.contains("; "), "{}", report.summary);
        assert_eq!(report.advice.len(), 1, "{}", report.file);
    }
}

#[test]
fn whatever_is_cut_off_or_changed_there_is_a_report() {
    let mut state = 1u32;
    let mut below = |end: usize| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        usize::try_from(state >> 8).unwrap() % end.max(1)
    };
    for (name, bytes) in FOLDERS.into_iter().flat_map(files) {
        let every = if bytes.len() <= SMALL_BYTES { 1 } else { 2 };
        for share in CUTS.into_iter().step_by(every) {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share of a length")]
            let end = (bytes.len() as f64 * share) as usize;
            assert_speaks(&checked(&name, &bytes[..end]));
        }
        for end in [HEAD_BYTES.min(bytes.len()), bytes.len()].into_iter().step_by(every) {
            let mut changed = bytes.clone();
            for _ in 0..3 {
                if let Some(byte) = changed.get_mut(below(end)) {
                    *byte ^= 1 << below(8);
                }
            }
            assert_speaks(&checked(&name, &changed));
        }
    }
}

/// Empty files, single bytes, pictures of one and two pixels.
#[test]
fn files_of_nothing_have_a_report() {
    for bytes in
        [&b""[..], b"\0", b"\xff\xd8\xff", b"P5 1 1 255\n\x80", b"P6 2 1 255\n\0\0\0\xff\xff\xff", b"P5 0 0 255\n"]
    {
        assert_speaks(&checked("nothing.pgm", bytes));
    }
}
