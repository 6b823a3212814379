//! What reading a night costs beside decoding it, in one run: speed over two cores, memory, a reading that was stopped.
//!
//! The program is run as a person runs it, on copies of one drawn frame of 6 megapixels, each taken five seconds after the one before.
//! `QUIETARC_READ_FRAMES=2000` reads that many (some 6 GB of files), 60 otherwise.

#![expect(clippy::unwrap_used, reason = "a benchmark of a wrong input is no benchmark")]
#![expect(clippy::print_stdout, reason = "a benchmark is there to print")]

#[path = "../../job/benches/check/clock.rs"]
mod clock;
#[path = "../../job/benches/check/night_frame.rs"]
mod night_frame;
#[path = "sort/process.rs"]
mod process;

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

use jiff::{SignedDuration, Timestamp};

use self::clock::{decode, middle, seconds};
use self::process::{Taken, run_watched, start};

/// 6 megapixels.
const SIZE: [u16; 2] = [3000, 2000];
/// Frames of a run where the environment says nothing, and the least that are worth a run.
const FRAMES: usize = 60;
const LEAST_FRAMES: usize = 16;
const FRAMES_NAME: &str = "QUIETARC_READ_FRAMES";
/// Time between frames, s: a camera that takes one after another.
const INTERVAL_S: i64 = 5;
/// Decodings; the middle one counts.
const ROUNDS: usize = 7;
/// Cores that the aim is said for.
const CORES: f64 = 2.0;

fn main() {
    let wanted: Vec<String> = std::env::args().skip(1).filter(|argument| !argument.starts_with('-')).collect();
    // criterion's settings are numbers; anything else is a filter
    let filters: Vec<&String> = wanted.iter().filter(|argument| argument.parse::<f64>().is_err()).collect();
    if !filters.is_empty() && !filters.iter().any(|filter| "read/a night, 6 MP".contains(filter.as_str())) {
        return;
    }
    let asked = std::env::var(FRAMES_NAME).ok().map(|text| text.parse::<usize>().unwrap());
    let frames = asked.unwrap_or(FRAMES).max(LEAST_FRAMES);
    let root = tempfile::tempdir().unwrap();
    let bytes = night_frame::jpeg(SIZE);
    let decode_s = middle((0..ROUNDS).map(|_round| seconds(|| decode(&bytes))).collect());
    let few = copies(root.path(), "few", &bytes, frames / 4);
    let many = copies(root.path(), "many", &bytes, frames);
    let of_few = read(&few, &root.path().join("few.sqlite"));
    let of_many = read(&many, &root.path().join("many.sqlite"));
    let count = frames as f64;
    println!("read/decode alone, 6 MP: {:.1} ms", decode_s * 1e3);
    println!("read/a frame of {frames}, processor, 6 MP: {:.1} ms", of_many.processor_s / count * 1e3);
    println!("read/{frames} frames by the clock, 6 MP: {:.1} s", of_many.wall_s);
    // the speed of two cores that do nothing but decode is the measure; other programs slow the second of these only by the clock
    println!(
        "read/speed over decoding, by processor time: ratio {:.2} (aim 0.6)",
        count * decode_s / of_many.processor_s
    );
    println!(
        "read/speed over decoding, by the clock: ratio {:.2} (aim 0.6)",
        count * decode_s / CORES / of_many.wall_s
    );
    println!("read/peak memory, {} frames, 6 MP: {:.0} MB", frames / 4, of_few.peak_mb);
    println!("read/peak memory, {frames} frames, 6 MP: {:.0} MB", of_many.peak_mb);
    let resumed = stopped_and_read(&many, root.path(), Duration::try_from_secs_f64(0.5 * of_many.wall_s).unwrap());
    println!("read/{frames} frames, stopped halfway and read again, 6 MP: {:.1} s", resumed.wall_s);
}

fn read(folder: &Path, journal: &Path) -> Taken {
    run_watched(&mut command(folder, journal))
}

fn command(folder: &Path, journal: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quietarc"));
    command.arg("read").arg(folder).arg("--journal").arg(journal).args(["--lat", "69.2", "--lon", "15.1"]);
    command
}

/// A reading that is killed after a while, and the one that goes on.
fn stopped_and_read(folder: &Path, root: &Path, after: Duration) -> Taken {
    let home = root.join("stopped");
    std::fs::create_dir(&home).unwrap();
    let journal = home.join("journal.sqlite");
    let mut child = start(&mut command(folder, &journal));
    let begun = Instant::now();
    while begun.elapsed() < after && child.try_wait().unwrap().is_none() {
        std::thread::sleep(process::LOOK);
    }
    // one that is done already leaves nothing to go on from, and the second line says what a whole one takes
    let _done_before = child.kill();
    child.wait().unwrap();
    read(folder, &journal)
}

/// Copies of a frame, each with a later time in it.
fn copies(root: &Path, name: &str, bytes: &[u8], count: usize) -> PathBuf {
    let folder = root.join(name);
    std::fs::create_dir(&folder).unwrap();
    let begin: Timestamp = "2026-11-10T20:00:00Z".parse().unwrap();
    let picture = without_exif(bytes);
    for number in 0..count {
        let late = SignedDuration::from_secs(INTERVAL_S * i64::try_from(number).unwrap());
        let head = exif(begin.checked_add(late).unwrap());
        let file = [&bytes[..2], &head, picture].concat();
        std::fs::write(folder.join(format!("frame_{number:05}.jpg")), file).unwrap();
    }
    folder
}

/// The picture behind its first two bytes and its block of settings, which is the first one.
fn without_exif(bytes: &[u8]) -> &[u8] {
    let at = bytes.windows(6).position(|six| six == b"Exif\0\0").unwrap();
    let length = usize::from(u16::from_be_bytes([bytes[at - 2], bytes[at - 1]]));
    &bytes[at - 2 + length..]
}

/// Settings of a frame (Exif 2.32): exposure 4 s, ISO 3200, f/2, 20 mm, the time at the camera and that it is universal time.
fn exif(at: Timestamp) -> Vec<u8> {
    const ENTRIES: u16 = 7;
    let time = at.strftime("%Y:%m:%d %H:%M:%S\0").to_string();
    let entry = |tag: u16, kind: u16, count: u32, value: [u8; 4]| {
        [&tag.to_be_bytes()[..], &kind.to_be_bytes(), &count.to_be_bytes(), &value].concat()
    };
    // the values that are wider than four bytes stand behind the second list of entries
    let values = 8 + 2 + 12 + 4 + 2 + 12 * u32::from(ENTRIES) + 4;
    let place = |offset: u32| (values + offset).to_be_bytes();
    let mut block = b"MM\0\x2a\0\0\0\x08".to_vec();
    block.extend([&1_u16.to_be_bytes()[..], &entry(0x8769, 4, 1, 26_u32.to_be_bytes()), &[0; 4]].concat());
    block.extend(ENTRIES.to_be_bytes());
    block.extend(entry(0x829a, 5, 1, place(0)));
    block.extend(entry(0x829d, 5, 1, place(8)));
    block.extend(entry(0x8827, 3, 1, [0x0c, 0x80, 0, 0]));
    block.extend(entry(0x9003, 2, 20, place(24)));
    block.extend(entry(0x9011, 2, 7, place(44)));
    block.extend(entry(0x920a, 5, 1, place(16)));
    block.extend(entry(0xa405, 3, 1, [0, 20, 0, 0]));
    block.extend([0; 4]);
    for [above, below] in [[4_u32, 1], [2, 1], [20, 1]] {
        block.extend([above.to_be_bytes(), below.to_be_bytes()].concat());
    }
    block.extend(time.as_bytes());
    block.extend(b"+00:00\0");
    let length = u16::try_from(2 + 6 + block.len()).unwrap();
    [&[0xff, 0xe1][..], &length.to_be_bytes(), b"Exif\0\0", &block].concat()
}
