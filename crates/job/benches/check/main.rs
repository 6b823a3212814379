//! What checking a frame costs beside decoding it, in one run: time on the processor, memory, and another way to do less.
//!
//! The picture is drawn and encoded first. Time is that of the main thread on its core where the system tells it, so
//! that other programs count little; the middle of several rounds, decoding and checking in turn.

#![expect(clippy::unwrap_used, reason = "a benchmark of a wrong input is no benchmark")]
#![expect(clippy::print_stdout, reason = "a benchmark is there to print")]
#![expect(
    clippy::disallowed_methods,
    reason = "a benchmark needs a clock, files and other processes; the crate does not"
)]

mod clock;
mod night_frame;

use std::hint::black_box;
use std::process::Command;

use frame::{
    FocusReference, LensHints, LightMap, Limits, MotionContext, StarSearch, find_stars, judge_focus, judge_motion,
    open, pixel_scale, solve_lens,
};
use job::{CheckRequest, check, check_with_picture};

use self::clock::{decode, middle, seconds};

/// 24 megapixels, and what a reducing program makes of them.
const LARGE: [u16; 2] = [6000, 4000];
const SMALL: [u16; 2] = [1936, 1291];
/// Frames whose memory is measured: 24, 61 and 100 megapixels.
const MEMORY_SIZES: [[u16; 2]; 3] = [LARGE, [9504, 6336], [11_648, 8736]];
/// Rounds; the middle one counts.
const ROUNDS: usize = 7;
/// Given to a copy of this program, with a file: checks it and prints its own peak memory.
const MEMORY_OF: &str = "--memory-of";
/// Given with a file: writes the frame there, to be looked at.
const WRITE: &str = "--write";
/// The other way: stars of the grey picture by general libraries.
const OTHER_WAY: &str = include_str!("pillow_sep.py");

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    if let Some(place) = arguments.iter().position(|argument| argument == MEMORY_OF) {
        memory_of(&arguments[place + 1]);
        return;
    }
    if let Some(place) = arguments.iter().position(|argument| argument == WRITE) {
        std::fs::write(&arguments[place + 1], night_frame::jpeg(LARGE)).unwrap();
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let bytes = night_frame::jpeg(LARGE);
    println!("check/the frame: {} x {} px, {:.1} MB of JPEG", LARGE[0], LARGE[1], bytes.len() as f64 / 1e6);
    let path = folder.path().join("frame.jpg");
    std::fs::write(&path, &bytes).unwrap();
    whole_check(&bytes, &path);
    stages("24 MP", &bytes);
    stages("2.5 MP", &night_frame::jpeg(SMALL));
    for size in MEMORY_SIZES {
        let megapixels = f64::from(size[0]) * f64::from(size[1]) / 1e6;
        let path = folder.path().join("memory.jpg");
        std::fs::write(&path, night_frame::jpeg(size)).unwrap();
        let output = Command::new(std::env::current_exe().unwrap()).arg(MEMORY_OF).arg(&path).output().unwrap();
        println!("check/peak memory, {megapixels:.0} MP: {}", String::from_utf8_lossy(&output.stdout).trim());
    }
}

/// Decoding alone, all of the check, and the other way, in turn: a machine's speed changes from minute to minute.
fn whole_check(bytes: &[u8], path: &std::path::Path) {
    let request = CheckRequest { name: "frame.jpg".to_owned(), ..CheckRequest::default() };
    let python = std::env::var("PYTHON").unwrap_or_else(|_unset| "python3".to_owned());
    let mut times = [Vec::new(), Vec::new(), Vec::new()];
    let mut other = Vec::new();
    for _ in 0..ROUNDS {
        times[0].push(seconds(|| decode(bytes)));
        times[1].push(seconds(|| check(&request, bytes)));
        times[2].push(seconds(|| check_with_picture(&request, bytes, 1200)));
        other.extend(other_way(&python, path));
    }
    let report = check(&request, bytes);
    let solved = report.lens.as_ref().is_some_and(|lens| lens.solved);
    println!("check/found: {} stars, {:?}, lens solved: {solved}", report.stars.count, report.scene);
    let [decode_s, check_s, picture_s] = times.map(middle);
    line("check/decode alone, 24 MP", decode_s);
    line("check/whole check, 24 MP", check_s);
    line("check/whole check with a small copy, 24 MP", picture_s);
    println!("check/measures over decode, 24 MP: ratio {:.2}", (check_s - decode_s) / decode_s);
    if other.is_empty() {
        println!("check/Pillow and sep: skipped, {python} has not both (name another in PYTHON)");
        return;
    }
    let other_s = middle(other);
    line("check/Pillow and sep, 24 MP", other_s);
    println!("check/Pillow and sep over the whole check, 24 MP: ratio {:.2}", other_s / check_s);
}

/// Seconds of processor time of the same picture by Pillow and sep: one background, one threshold, widths. `None` where
/// they are not installed.
fn other_way(python: &str, path: &std::path::Path) -> Option<f64> {
    let output = Command::new(python).arg("-c").arg(OTHER_WAY).arg(path).output().ok()?;
    String::from_utf8_lossy(&output.stdout).trim().parse().ok().filter(|_| output.status.success())
}

/// The parts of a check, one after another.
fn stages(name: &str, bytes: &[u8]) {
    let limits = Limits::default();
    let frame = open(bytes, &limits).unwrap();
    let plane = frame.luminance().unwrap();
    let field = find_stars(&plane, &StarSearch::default());
    let scale = pixel_scale(&frame.metadata, frame.stored_size).map(|scale| scale.arcsec_per_px);
    let hinted = scale.map_or_else(LensHints::default, |scale| LensHints::default().with_arcsec_per_px(scale));
    let rounds = |work: &dyn Fn()| middle((0..ROUNDS).map(|_| seconds(work)).collect());
    let part = |what: &str, work: &dyn Fn()| {
        let time = rounds(work);
        line(&format!("check/{name}: {what}"), time);
        time
    };
    part("open", &|| drop(black_box(open(bytes, &limits))));
    let luminance = part("luminance", &|| drop(black_box(frame.luminance())));
    let stars = part("stars", &|| drop(black_box(find_stars(&plane, &StarSearch::default()))));
    part("light map", &|| drop(black_box(LightMap::of(&frame))));
    part("focus", &|| drop(black_box(judge_focus(&plane, &field, &FocusReference::default()))));
    part("movement", &|| drop(black_box(judge_motion(&plane, &field, &MotionContext::default()))));
    let known = part("lens, focal length known", &|| drop(black_box(solve_lens(&field, &hinted))));
    let blind = part("lens, nothing known", &|| drop(black_box(solve_lens(&field, &LensHints::default()))));
    line(&format!("check/{name}: light to lens, focal length known"), luminance + stars + known);
    line(&format!("check/{name}: light to lens, nothing known"), luminance + stars + blind);
}

fn memory_of(path: &str) {
    let bytes = std::fs::read(path).unwrap();
    let report = check(&CheckRequest { name: "frame.jpg".to_owned(), ..CheckRequest::default() }, &bytes);
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = status.lines().find_map(|line| line.strip_prefix("VmHWM:")?.trim().strip_suffix(" kB")?.parse().ok());
    let file = bytes.len() as f64 / 1e6;
    match peak {
        Some(kilobytes) => {
            let peak: f64 = kilobytes;
            println!("{:.0} MB, {file:.0} MB of it the file ({} stars)", peak * 1.024e-3, report.stars.count);
        }
        None => println!("this system does not tell"),
    }
}

fn line(name: &str, seconds: f64) {
    println!("{name}: {:.0} ms", seconds * 1e3);
}
