//! What sorting a night costs beside decoding it, in one run: processor time, workers, memory, a second run.
//!
//! The program is run as a person runs it, on copies of one drawn frame that differ behind their end. Processor time is that
//! of the finished process (Linux tells it), so that other programs count little.

#![expect(clippy::unwrap_used, reason = "a benchmark of a wrong input is no benchmark")]
#![expect(clippy::print_stdout, reason = "a benchmark is there to print")]

#[path = "../../job/benches/check/clock.rs"]
mod clock;
#[path = "../../job/benches/check/night_frame.rs"]
mod night_frame;
#[path = "sort/process.rs"]
mod process;

use std::path::Path;
use std::process::Command;
use std::time::Duration;

use self::clock::{decode, middle, seconds};
use self::process::{Taken, run_watched};

/// 24 megapixels, and a small frame of which a night can hold thousands in a bench.
const LARGE: [u16; 2] = [6000, 4000];
const SMALL: [u16; 2] = [480, 320];
/// Large frames in the folder: the start of the program and its tables are spread over them, as over the hundreds of a night.
const FRAMES: usize = 36;
/// Small frames whose peak memory is compared, and how many more are many.
const FEW: usize = 250;
const MANY: usize = 5000;
/// Decodings; the middle one counts.
const ROUNDS: usize = 7;

fn main() {
    let wanted: Vec<String> = std::env::args().skip(1).filter(|argument| !argument.starts_with('-')).collect();
    // criterion's settings are numbers; anything else is a filter
    let filters: Vec<&String> = wanted.iter().filter(|argument| argument.parse::<f64>().is_err()).collect();
    if !filters.is_empty() && !filters.iter().any(|filter| "sort/a night, 24 MP".contains(filter.as_str())) {
        return;
    }
    let root = tempfile::tempdir().unwrap();
    large(root.path());
    small(root.path());
}

fn large(root: &Path) {
    let bytes = night_frame::jpeg(LARGE);
    let decode_s = middle((0..ROUNDS).map(|_round| seconds(|| decode(&bytes))).collect());
    let folder = copies(root, "large", &bytes, FRAMES);
    let one = run(&folder, &root.join("one.sqlite"), 1);
    let two = run(&folder, &root.join("two.sqlite"), 2);
    let again = run(&folder, &root.join("two.sqlite"), 2);
    let each_s = one.processor_s / FRAMES as f64;
    println!("sort/decode alone, 24 MP: {:.0} ms", decode_s * 1e3);
    println!("sort/a frame of {FRAMES}, one worker, 24 MP: {:.0} ms", each_s * 1e3);
    println!("sort/a frame over its decode, 24 MP: ratio {:.2}", each_s / decode_s);
    println!("sort/one worker over two by the clock, 24 MP: ratio {:.2}", one.wall_s / two.wall_s);
    println!("sort/peak memory, one worker, 24 MP: {:.0} MB", one.peak_mb);
    println!("sort/peak memory, two workers, 24 MP: {:.0} MB", two.peak_mb);
    println!("sort/a second run of {FRAMES} frames, 24 MP: {:.0} ms", again.wall_s * 1e3);
}

fn small(root: &Path) {
    let bytes = night_frame::jpeg(SMALL);
    let few = run(&copies(root, "few", &bytes, FEW), &root.join("few.sqlite"), 2);
    let folder = copies(root, "many", &bytes, MANY);
    let many = run(&folder, &root.join("many.sqlite"), 2);
    let again = run(&folder, &root.join("many.sqlite"), 2);
    println!("sort/peak memory, {FEW} small frames: {:.0} MB", few.peak_mb);
    println!("sort/peak memory, {MANY} small frames: {:.0} MB", many.peak_mb);
    println!("sort/{MANY} small frames: {:.1} s", many.wall_s);
    println!("sort/a second run of {MANY} frames: {:.1} s", again.wall_s);
}

/// Copies of a file that differ behind the picture's end.
fn copies(root: &Path, name: &str, bytes: &[u8], count: usize) -> std::path::PathBuf {
    let folder = root.join(name);
    std::fs::create_dir(&folder).unwrap();
    let long_ago = std::time::SystemTime::now() - Duration::from_secs(100);
    for i in 0..count {
        let path = folder.join(format!("frame_{i:05}.jpg"));
        std::fs::write(&path, [bytes, i.to_string().as_bytes()].concat()).unwrap();
        // as if copied a while ago: what is fresh is not taken on its stamp
        std::fs::File::options().write(true).open(&path).unwrap().set_modified(long_ago).unwrap();
    }
    folder
}

fn run(folder: &Path, journal: &Path, workers: usize) -> Taken {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quietarc"));
    command.arg("sort").arg(folder).arg("--journal").arg(journal).args(["--workers", &workers.to_string()]);
    run_watched(&mut command)
}
