//! A sort that is stopped at any moment, by a signal or by a disk, loses nothing that was recorded.

use std::collections::BTreeSet;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use crate::program::{stderr, stdout};
use crate::sort::{Night, contents};

/// Times that the program is killed.
const KILLS: u32 = 200;
/// Frames of the night, and copies among them, which get ratings.
const FRAMES: u32 = 24;
const COPIES: u32 = 6;

/// Contents in the journal, each as often as it stands there.
fn recorded(night: &Night) -> Vec<String> {
    let Ok(journal) = rusqlite::Connection::open(night.journal()) else { return Vec::new() };
    let whole: String = journal.query_row("PRAGMA integrity_check", [], |row| row.get(0)).unwrap();
    assert_eq!(whole, "ok");
    // killed before the tables were made
    let Ok(mut statement) = journal.prepare("SELECT content_hash FROM frame_measure ORDER BY content_hash") else {
        return Vec::new();
    };
    statement.query_map([], |row| row.get(0)).unwrap().map(Result::unwrap).collect()
}

fn forget(night: &Night) {
    for ending in ["", "-wal", "-shm"] {
        let _gone = std::fs::remove_file(format!("{}{ending}", night.journal().display()));
    }
    for path in contents(&night.folder()).into_keys() {
        if path.extension().is_some_and(|ending| ending == "xmp") {
            std::fs::remove_file(path).unwrap();
        }
    }
}

#[test]
#[expect(clippy::print_stdout, reason = "what was found or left out is told to who runs the test")]
fn killed_at_two_hundred_moments_nothing_recorded_is_lost_or_doubled() {
    let night = Night::new();
    for number in 0..FRAMES {
        night.small(&format!("IMG_{number}.ppm"), number);
    }
    for number in 0..COPIES {
        night.small(&format!("copy_{number}.ppm"), number);
    }
    let pictures = contents(&night.folder());
    let started = Instant::now();
    assert!(night.sort(&["--ratings"]).status.success());
    let whole_run = started.elapsed();
    // what an undisturbed run says, to the last number
    let undisturbed = night.report(&[]);
    forget(&night);

    let (mut completed, mut partly) = (0, 0);
    let mut before: BTreeSet<String> = BTreeSet::new();
    let mut state = 0x2545_f491u32;
    for _kill in 0..KILLS {
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        let moment = whole_run.mul_f64(1.1 * f64::from(state) / f64::from(u32::MAX));
        let mut child = night.command(&["--ratings"]).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        std::thread::sleep(moment);
        let done = child.try_wait().unwrap();
        child.kill().unwrap();
        child.wait().unwrap();

        let rows = recorded(&night);
        let now: BTreeSet<String> = rows.iter().cloned().collect();
        assert_eq!(rows.len(), now.len(), "doubled");
        assert!(now.is_superset(&before), "lost");
        for (path, bytes) in contents(&night.folder()) {
            match pictures.get(&path) {
                Some(picture) => assert_eq!(&bytes, picture, "{}", path.display()),
                // a sidecar is whole, or hidden as unfinished
                None if path.file_name().unwrap().to_str().unwrap().starts_with('.') => {}
                None => assert!(bytes.ends_with(b"<?xpacket end=\"w\"?>\n"), "{}", path.display()),
            }
        }
        partly += u32::from(!now.is_empty() && now.len() < 24);
        before = now;
        if let Some(status) = done {
            assert!(status.success());
            completed += 1;
            // from the beginning again, so that kills fall into all of a run
            forget(&night);
            before.clear();
        }
    }
    println!(
        "{completed} runs came to their end, {partly} kills fell amid the measuring; a whole run takes {whole_run:?}"
    );
    assert!(night.sort(&["--ratings"]).status.success());
    assert_eq!(recorded(&night).len(), 24);
    assert_eq!(night.report(&[]), undisturbed, "what was kept in pieces is what is measured at once");
    let after = contents(&night.folder());
    let sidecars = after.keys().filter(|path| path.extension().is_some_and(|ending| ending == "xmp"));
    assert_eq!(sidecars.count(), 6, "a rating for each copy");
    assert_eq!(after.len(), pictures.len() + 6, "no unfinished file is left");
    assert!(pictures.iter().all(|(path, bytes)| after.get(path) == Some(bytes)));
}

/// A run that a kill left half-way is taken up: what was measured before is not measured again.
#[test]
fn a_stopped_run_goes_on_where_it_was() {
    let night = Night::new();
    for number in 0..60 {
        night.small(&format!("IMG_{number}.ppm"), number);
    }
    let mut child = night.command(&["--workers", "1"]).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
    let started = Instant::now();
    let mut kept = 0;
    while kept == 0 && started.elapsed() < Duration::from_secs(20) && child.try_wait().unwrap().is_none() {
        std::thread::sleep(Duration::from_millis(2));
        kept = if night.journal().exists() { count(&night) } else { 0 };
    }
    child.kill().unwrap();
    child.wait().unwrap();
    let kept = recorded(&night).len();
    assert!(kept > 0);
    let output = night.sort(&[]);
    assert!(stdout(&output).contains(&format!("{} measured in", 60 - kept)), "{kept}: {}", stdout(&output));
}

/// As [`recorded`], while the program may be at work on the journal.
fn count(night: &Night) -> usize {
    let flags = rusqlite::OpenFlags::SQLITE_OPEN_READ_ONLY;
    let Ok(journal) = rusqlite::Connection::open_with_flags(night.journal(), flags) else { return 0 };
    let rows = journal.query_row("SELECT count(*) FROM frame_measure", [], |row| row.get::<_, i64>(0));
    rows.map_or(0, |rows| usize::try_from(rows).unwrap())
}

/// Runs a script where disks may be mounted; `None` where the system does not let one.
#[expect(clippy::print_stdout, reason = "what was found or left out is told to who runs the test")]
fn with_disks(night: &Night, script: &str) -> Option<(String, String)> {
    let allowed = Command::new("unshare").args(["-rm", "mount", "-t", "tmpfs", "tmpfs", "/mnt"]).output();
    if !allowed.is_ok_and(|output| output.status.success()) {
        println!("skipped: no disk can be mounted here");
        return None;
    }
    let output = Command::new("unshare")
        .args(["-rm", "sh", "-c", script])
        .env("Q", env!("CARGO_BIN_EXE_quietarc"))
        .env("N", night.folder())
        .env("J", night.journal())
        .env("R", night.root())
        .output()
        .unwrap();
    Some((stdout(&output), stderr(&output)))
}

#[test]
fn a_full_disk_gives_a_line_and_leaves_the_sidecar_as_it_was() {
    let night = Night::new();
    night.small("IMG_1.ppm", 1);
    night.small("IMG_2.ppm", 1);
    let script = "mkdir $R/full && mount -t tmpfs -o size=64k tmpfs $R/full && cp $N/* $R/full/ && \
                  printf '<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\"><rdf:Description/></rdf:RDF></x:xmpmeta>' > $R/full/IMG_2.xmp; \
                  dd if=/dev/zero of=$R/full/rest bs=1k 2>/dev/null; cksum < $R/full/IMG_2.xmp; \
                  $Q sort $R/full --journal $J --ratings >/dev/null; echo code $?; cksum < $R/full/IMG_2.xmp; ls -A $R/full; \
                  rm $R/full/rest; $Q sort $R/full --journal $J --ratings | grep written; cat $R/full/IMG_2.xmp";
    let Some((out, err)) = with_disks(&night, script) else { return };
    assert!(err.contains("IMG_2.ppm: its rating cannot be written: No space left"), "{err}\n{out}");
    let lines: Vec<&str> = out.lines().collect();
    assert_eq!(lines[0], lines[2], "{out}");
    assert_eq!(lines[1], "code 1", "{out}");
    assert!(!out.contains("quietarc-part"), "{out}");
    assert!(out.contains("1 ratings written") && out.contains("xmp:Rating=\"-1\""), "{out}");
}

#[test]
fn a_folder_that_cannot_be_written_gives_a_line_and_is_sorted() {
    let night = Night::new();
    night.small("IMG_1.ppm", 1);
    night.small("IMG_2.ppm", 1);
    let script = "mount --bind $N $N && mount -o remount,ro,bind $N && $Q sort $N --journal $J --ratings; echo code $?";
    let Some((out, err)) = with_disks(&night, script) else { return };
    assert!(out.starts_with("2 frames: ") && out.contains("code 1"), "{out}");
    assert!(err.contains("IMG_2.ppm: its rating cannot be written: Read-only"), "{err}");
}

#[test]
fn a_journal_without_room_stops_nothing() {
    let night = Night::new();
    for number in 0..300 {
        night.small(&format!("IMG_{number}.ppm"), number);
    }
    let script = "mkdir $R/small && mount -t tmpfs -o size=600k tmpfs $R/small && $Q sort $N --journal $R/small/j.sqlite; echo code $?";
    let Some((out, err)) = with_disks(&night, script) else { return };
    assert!(out.starts_with("300 frames: ") && out.contains("code 1"), "{out}\n{err}");
    assert!(err.contains("journal cannot grow"), "{err}");
}
