//! A reading that is killed goes on where it stopped, and says the same as one that was not.

use std::io::Write;
use std::path::Path;
use std::process::Stdio;
use std::time::{Duration, Instant};

use serde_json::Value;

use crate::house::House;
use crate::program::{stderr, stdout};

const FILES: u32 = 30;
const SIDE: u32 = 800;
/// A machine that is busy with other tests.
const PATIENCE: Duration = Duration::from_mins(1);

/// Frames of a grey camera, a minute apart: noise on a sky that brightens (invented).
fn frames(folder: &Path) {
    let mut state = 0x9e37_79b9_u32;
    for number in 0..FILES {
        let mut bytes = format!(
            "P5\n#\"Image request start\" 2026-11-14 20:{number:02}:00.000000 UTC\n#\"Exposure options\" MSEC=5000\n{SIDE} {SIDE}\n65535\n"
        )
        .into_bytes();
        for _pixel in 0..SIDE * SIDE {
            state ^= state << 13;
            state ^= state >> 17;
            state ^= state << 5;
            bytes.extend(u16::try_from(2000 + 10 * number + state % 200).unwrap().to_be_bytes());
        }
        std::fs::File::create(folder.join(format!("{number:02}.pgm"))).unwrap().write_all(&bytes).unwrap();
    }
}

/// Bytes of the rows that are kept beside the journal.
fn kept_bytes(house: &House) -> u64 {
    let Ok(entries) = std::fs::read_dir(house.path("reading")) else { return 0 };
    entries.flatten().filter_map(|entry| Some(entry.metadata().ok()?.len())).sum()
}

#[test]
fn a_killed_reading_goes_on_and_says_the_same() {
    let folder = tempfile::tempdir().unwrap();
    frames(folder.path());
    let arguments = ["read", "--json", folder.path().to_str().unwrap()];
    let (whole, stopped) = (House::new(""), House::new(""));
    let at_once = whole.run(&arguments);
    assert_eq!(at_once.status.code(), Some(0), "{}", stderr(&at_once));
    assert_eq!(kept_bytes(&whole), 0, "rows of a reading that is done are left behind");

    let mut child = stopped.command(&arguments).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
    let started = Instant::now();
    // two records at least: each holds the light of all pixels
    while kept_bytes(&stopped) < u64::from(2 * 4 * SIDE * SIDE) {
        assert!(started.elapsed() < PATIENCE && child.try_wait().unwrap().is_none(), "done before it could be stopped");
        std::thread::sleep(Duration::from_millis(2));
    }
    child.kill().unwrap();
    child.wait().unwrap();

    let resumed = stopped.run(&arguments);
    assert!(stderr(&resumed).contains("known from a reading that was stopped"), "{}", stderr(&resumed));
    let [at_once, resumed] = [at_once, resumed].map(|output| serde_json::from_str::<Value>(&stdout(&output)).unwrap());
    assert_eq!(at_once["frames"]["read"], FILES);
    assert_eq!(at_once, resumed);
    assert_eq!(kept_bytes(&stopped), 0);
}
