//! Clips by command, read back by ffprobe and ffmpeg; skipped plainly where these are not installed.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::Value;

use crate::program::{quietarc, stderr, stdout};

/// Sides of the frames drawn here, px.
pub(crate) const SIZE: [usize; 2] = [192, 108];
/// Frames drawn: more than one piece of a hundred, so that pieces are joined.
const FRAMES: usize = 130;

#[expect(clippy::print_stdout, reason = "says why it tests nothing")]
pub(crate) fn is_without_ffmpeg() -> bool {
    let is_there = |program: &str| Command::new(program).arg("-version").output().is_ok();
    let without = !(is_there("ffmpeg") && is_there("ffprobe"));
    if without {
        println!("skipped: ffmpeg is not installed");
    }
    without
}

/// A dark sky whose light jumps by 30 % from frame to frame, with a white mark that wanders to the right.
pub(crate) fn picture([width, height]: [usize; 2], number: usize) -> Vec<u8> {
    let mut bytes = format!("P6\n{width} {height}\n255\n").into_bytes();
    let sky = if number.is_multiple_of(2) { 70 } else { 80 };
    for y in 0..height {
        for x in 0..width {
            let mark = (number..number + 8).contains(&x) && y < 8;
            bytes.extend(if mark { [250, 250, 250] } else { [sky / 2, sky, sky / 2] });
        }
    }
    bytes
}

/// A folder of frames: one is broken, one has another shape, and with them there are `FRAMES` that can be shown.
fn night() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name);
    for number in 0..FRAMES {
        std::fs::write(path(&format!("f{number:04}.ppm")), picture(SIZE, number)).unwrap();
    }
    std::fs::write(path("f0007b.ppm"), &picture(SIZE, 7)[..2000]).unwrap();
    std::fs::write(path("f0100b.ppm"), picture([108, 192], 1)).unwrap();
    folder
}

pub(crate) fn probe(clip: &Path) -> Value {
    let out = Command::new("ffprobe")
        .args(["-v", "error", "-count_frames", "-of", "json", "-show_streams", "-show_format"])
        .arg(clip)
        .output()
        .unwrap();
    serde_json::from_slice(&out.stdout).unwrap()
}

/// The clip's frames as grey bytes, through ffmpeg.
fn grey(clip: &Path) -> Vec<Vec<u8>> {
    let out = Command::new("ffmpeg")
        .args(["-v", "error", "-i"])
        .arg(clip)
        .args(["-f", "rawvideo", "-pix_fmt", "gray", "-"])
        .stderr(Stdio::inherit())
        .output()
        .unwrap();
    out.stdout.chunks_exact(SIZE[0] * SIZE[1]).map(<[u8]>::to_vec).collect()
}

/// Middle of the white mark, px from the left.
fn mark(frame: &[u8]) -> f64 {
    let row = &frame[4 * SIZE[0]..5 * SIZE[0]];
    let (sum, weight) = row.iter().enumerate().fold((0.0, 0.0), |(sum, weight), (x, value)| {
        let light = f64::from(value.saturating_sub(150));
        (sum + light * x as f64, weight + light)
    });
    sum / weight
}

fn clip_of(night: &Path, out: &Path, more: &[&str]) -> std::process::Output {
    let mut arguments = vec!["tell", "clip", "--out", out.to_str().unwrap(), "--size", "source", "--even-exposure"];
    arguments.extend(more);
    arguments.push(night.to_str().unwrap());
    quietarc(&arguments)
}

#[test]
fn a_clip_is_what_the_caption_says_and_what_cannot_be_shown_is_named() {
    /// Swing of the sky's light left in the grey bytes: 30 % of light, from 54 to 62 before, is 8.
    const LEFT: u8 = 2;
    /// The mark's middle in a packed frame, px: loss of the packing, far below the pixel it moves by.
    const PLACE: f64 = 0.4;
    if is_without_ffmpeg() {
        return;
    }
    let (night, to) = (night(), tempfile::tempdir().unwrap());
    let clip = to.path().join("night.mp4");
    let output = clip_of(night.path(), &clip, &["--credit", "Photo: Ida Berg", "--place", "near Skerrow Bay"]);
    assert_eq!(output.status.code(), Some(1), "{}", stderr(&output));
    assert!(stderr(&output).contains("left out: f0007b.ppm"), "{}", stderr(&output));
    let caption = std::fs::read_to_string(to.path().join("night.txt")).unwrap();
    for wanted in ["2 of 132 frames left out", "f0100b.ppm (108 x 192 px does not", "Ida Berg", "the background alone"]
    {
        assert!(caption.contains(wanted) && stdout(&output).contains(wanted), "{wanted:?} in {caption}");
    }

    let said = probe(&clip);
    let stream = &said["streams"][0];
    assert_eq!((&stream["codec_name"], &stream["pix_fmt"]), (&"h264".into(), &"yuv420p".into()));
    assert_eq!((&stream["width"], &stream["height"]), (&192.into(), &108.into()));
    assert_eq!((&stream["color_space"], &stream["color_range"]), (&"bt709".into(), &"tv".into()));
    assert_eq!((&stream["nb_read_frames"], &stream["avg_frame_rate"]), (&"130".into(), &"25/1".into()));
    let runs_s: f64 = stream["duration"].as_str().unwrap().parse().unwrap();
    assert!((runs_s - 130.0 / 25.0).abs() < 0.01, "{runs_s}");
    assert_eq!(said["format"]["tags"]["comment"].as_str().unwrap().trim(), caption.trim());
    assert_eq!(said["format"]["tags"]["artist"], "Photo: Ida Berg");

    let frames = grey(&clip);
    assert_eq!(frames.len(), FRAMES);
    for (number, frame) in frames.iter().enumerate() {
        // the broken frame and the one of another shape are not shown: the mark wanders one pixel a frame
        let wanted = number as f64 + 3.5;
        assert!((mark(frame) - wanted).abs() < PLACE, "frame {number}: {}", mark(frame));
    }
    let sky: Vec<u8> = frames.iter().map(|frame| frame[SIZE[0] * 60 + 100]).collect();
    let swing = sky.windows(2).skip(1).map(|pair| pair[0].abs_diff(pair[1])).max().unwrap();
    assert!(swing <= LEFT, "{sky:?}");
    // nothing is left behind, and the frames were not touched
    assert_eq!(std::fs::read_dir(to.path()).unwrap().count(), 2);
    assert_eq!(std::fs::read(night.path().join("f0000.ppm")).unwrap(), picture(SIZE, 0));
}

/// Whether ffmpeg here packs AV1 by the encoder that the program asks for.
#[expect(clippy::print_stdout, reason = "says why it tests nothing")]
fn is_without_av1() -> bool {
    let out = Command::new("ffmpeg").args(["-v", "error", "-encoders"]).output().unwrap();
    let without = !String::from_utf8_lossy(&out.stdout).contains("libsvtav1");
    if without {
        println!("skipped: this ffmpeg has no encoder for AV1");
    }
    without
}

/// Read back by ffprobe: its codec, size, every frame, its pace and its caption.
#[test]
fn a_clip_in_av1_is_one_and_whole() {
    const SHOWN: usize = 30;
    if is_without_ffmpeg() || is_without_av1() {
        return;
    }
    let (night, to) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    for number in 0..SHOWN {
        std::fs::write(night.path().join(format!("f{number:04}.ppm")), picture(SIZE, number)).unwrap();
    }
    let clip = to.path().join("night.mp4");
    let output = clip_of(night.path(), &clip, &["--codec", "av1", "--fps", "30"]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let said = probe(&clip);
    let stream = &said["streams"][0];
    assert_eq!((&stream["codec_name"], &stream["pix_fmt"]), (&"av1".into(), &"yuv420p".into()));
    assert_eq!((&stream["width"], &stream["height"]), (&SIZE[0].into(), &SIZE[1].into()));
    assert_eq!((&stream["nb_read_frames"], &stream["avg_frame_rate"]), (&"30".into(), &"30/1".into()));
    let comment = said["format"]["tags"]["comment"].as_str().unwrap();
    assert!(comment.contains("AV1 by SVT-AV1") && comment.contains("30 frames at 30 a second"), "{comment}");
}

#[test]
fn a_clip_that_was_killed_goes_on_and_comes_out_the_same() {
    if is_without_ffmpeg() {
        return;
    }
    let (night, to) = (night(), tempfile::tempdir().unwrap());
    let [whole, killed] = ["whole.mp4", "killed.mp4"].map(|name| to.path().join(name));
    assert_eq!(clip_of(night.path(), &whole, &[]).status.code(), Some(1));
    let mut child = Command::new(env!("CARGO_BIN_EXE_quietarc"))
        .args(["tell", "clip", "--size", "source", "--even-exposure", "--workers", "1", "--out"])
        .arg(&killed)
        .arg(night.path())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let first = to.path().join(".killed.mp4.quietarc-work/00000.json");
    let begun = Instant::now();
    while !first.is_file() && child.try_wait().unwrap().is_none() && begun.elapsed() < Duration::from_mins(2) {
        std::thread::yield_now();
    }
    child.kill().unwrap();
    child.wait().unwrap();
    if killed.is_file() {
        // it was done before it could be killed: then nothing is left to go on with
        return;
    }
    let again = clip_of(night.path(), &killed, &[]);
    assert!(stderr(&again).contains("100 of 132 frames are packed already"), "{}", stderr(&again));
    assert_eq!(grey(&whole), grey(&killed));
    // other settings begin anew
    let other = clip_of(night.path(), &to.path().join("other.mp4"), &["--fps", "30"]);
    assert!(!stderr(&other).contains("already"), "{}", stderr(&other));
}

#[test]
fn what_stands_in_the_way_is_one_sentence_with_its_remedy() {
    let (night, to) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    std::fs::write(night.path().join("a.ppm"), picture(SIZE, 0)).unwrap();
    let refused = |out: PathBuf, inputs: &Path, wanted: &str, path: Option<&str>| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_quietarc"));
        command.args(["tell", "clip", "--out"]).arg(out).arg(inputs);
        path.map(|path| command.env("PATH", path));
        let output = command.output().unwrap();
        let said = stderr(&output);
        assert_eq!(output.status.code(), Some(2), "{wanted:?}: {said}");
        assert!(said.contains(wanted) && said.contains("hint: "), "{wanted:?}: {said}");
        assert_eq!(said.lines().count(), 2, "{said}");
    };
    let out = || to.path().join("a.mp4");
    // no folder of programs: ffmpeg cannot be found
    refused(out(), night.path(), "ffmpeg, which is not installed", Some(""));
    refused(to.path().join("a.avi"), night.path(), "does not end in .mp4", None);
    if is_without_ffmpeg() {
        return;
    }
    refused(night.path().join("a.ppm/x.mp4"), night.path(), "cannot be written", None);
    refused(to.path().join("gone/x.mp4"), night.path(), "cannot be written", None);
    refused(out(), &night.path().join("gone"), "is not there", None);
    refused(out(), to.path(), "there is no frame to show", None);
    std::fs::write(night.path().join("a.ppm"), "P6 no more").unwrap();
    refused(out(), night.path(), "no frame can be opened: a.ppm", None);
    // neither the clip's name nor that of the caption beside it may be somebody's file
    for name in ["a.mp4", "a.txt"] {
        let file = to.path().join(name);
        std::fs::write(&file, "somebody's").unwrap();
        refused(out(), night.path(), "is there already", None);
        assert_eq!(std::fs::read(&file).unwrap(), b"somebody's");
        std::fs::remove_file(&file).unwrap();
    }
}
