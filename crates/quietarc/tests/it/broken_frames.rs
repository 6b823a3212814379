//! Broken frames by command: one report each, exit code 1, the batch goes on, and memory stays bounded.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;

use crate::check::TEST_FRAME;
use crate::program::{quietarc, stderr, stdout};

/// Memory the program may ask the system for, kB: twice what a picture may take (700 MB), for the program itself maps some.
const MOST_MEMORY_KB: u64 = 1_400_000;

/// Files that are none, or claim what they are not.
fn invented(folder: &Path) -> Vec<PathBuf> {
    let zeros = vec![0u8; 300_000_000];
    let mut packed = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    for _ in 0..3 {
        std::io::Write::write_all(&mut packed, &zeros).unwrap();
    }
    let mut loops = b"\xff\xd8\xff\xe1\0\x2cExif\0\0II\x2a\0\x08\0\0\0\x02\0".to_vec();
    loops.extend(b"\x69\x87\x04\0\x01\0\0\0\x08\0\0\0\x25\x88\x04\0\x01\0\0\0\x08\0\0\0\x08\0\0\0\xff\xd9");
    let frame = std::fs::read(TEST_FRAME).unwrap();
    let files: [(&str, &[u8]); 9] = [
        ("empty.jpg", b""),
        ("letter.jpg", b"Dear neighbour, the gate at Skerrow Bay was left open.\n"),
        ("page.png", b"<html><body>404</body></html>"),
        ("huge.pgm", b"P5\n60000 60000\n65535\n"),
        ("long.fits", b"SIMPLE  =                    T"),
        ("swelling.pgm.gz", &packed.finish().unwrap()),
        ("loops.jpg", &loops),
        ("head.jpg", &frame[..300]),
        ("tiff.tif", b"II\x2a\0\xff\xff\xff\x7f"),
    ];
    files
        .into_iter()
        .map(|(name, bytes)| {
            let path = folder.join(name);
            std::fs::write(&path, bytes).unwrap();
            path
        })
        .chain([folder.to_path_buf(), folder.join("nowhere.jpg")])
        .collect()
}

/// Broken files of real life, where somebody keeps them at hand.
fn real() -> Vec<PathBuf> {
    let beside = || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/frames");
    let folder = std::env::var_os("QUIETARC_FRAMES").map_or_else(beside, PathBuf::from).join("corrupt");
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.path()).collect();
    paths.sort();
    paths
}

/// `quietarc check --json` in a shell that allows no more memory than that.
fn within_memory(files: &[PathBuf]) -> Output {
    let script = format!("ulimit -v {MOST_MEMORY_KB}; exec \"$0\" check --json \"$@\"");
    Command::new("sh").arg("-c").arg(script).arg(env!("CARGO_BIN_EXE_quietarc")).args(files).output().unwrap()
}

#[test]
#[cfg(unix)]
fn each_broken_file_has_its_report_and_the_batch_goes_on() {
    let folder = tempfile::tempdir().unwrap();
    let none = invented(folder.path());
    let real = real();
    let frame = PathBuf::from(TEST_FRAME);
    let files: Vec<PathBuf> = none.iter().chain(&real).cloned().chain([frame]).collect();
    let output = within_memory(&files);
    assert_eq!(output.status.code(), Some(1), "{}", stderr(&output));
    let reports: Vec<Value> = stdout(&output).lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(reports.len(), files.len(), "{}", stderr(&output));
    for (report, path) in reports.iter().zip(&files) {
        assert_eq!(report["file"], path.file_name().unwrap().to_str().unwrap());
        let summary = report["summary"].as_str().unwrap();
        assert!(!summary.is_empty() && !summary.contains(char::is_control), "{summary:?}");
    }
    for report in &reports[..none.len()] {
        assert_eq!(report["scene"], "unreadable", "{report}");
    }
    assert_eq!(reports[files.len() - 1]["scene"], "night_sky");
}

/// The text of a single broken file: what is wrong and what to do, in one line, and what is therefore not in the report.
#[test]
fn a_broken_file_is_told_in_one_line() {
    let folder = tempfile::tempdir().unwrap();
    for path in invented(folder.path()) {
        let output = quietarc(&["check", path.to_str().unwrap()]);
        assert_eq!(output.status.code(), Some(1));
        let text = stdout(&output);
        let told: Vec<&str> = text.lines().filter(|line| line.starts_with("! ")).collect();
        assert_eq!(told.len(), 1, "{text}");
        assert!(told[0].contains(path.file_name().unwrap().to_str().unwrap()) && told[0].contains("; "), "{text}");
    }
}
