//! Frames of a video, through the program `ffmpeg`: in colour, made small, one at a time.

use std::io::{BufRead, BufReader, ErrorKind, Read};
use std::path::Path;
use std::process::{Command, Stdio};

use frame::{Frame, Limits, open};
use jiff::SignedDuration;
use quantity::Timestamp;

use crate::failure::Failure;

const ENDINGS: [&str; 8] = ["mp4", "mov", "mkv", "avi", "mts", "m4v", "webm", "mpg"];
/// Columns of the frames that are read, at most: their cells of twelve pixels are then as fine as those of a large still are
/// coarse, and the noise of a cell is that of many pixels.
const MOST_COLUMNS: u32 = 1280;
/// Frames from the beginning that the lens is asked of together, and the seconds of video that they may last: the sky turns by
/// a sixth of a small pixel in that time.
const STILL_FRAMES: f64 = 32.0;
const STILL_S: f64 = 2.0;
/// Longest head of a frame, bytes: a format, two sides and a depth.
const LONGEST_HEAD: usize = 64;

pub(super) fn is_video(path: &Path) -> bool {
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_ascii_lowercase());
    ending.is_some_and(|ending| ENDINGS.contains(&ending.as_str()))
}

/// What a video says of itself.
#[derive(Debug, Clone, Copy)]
pub(super) struct About {
    /// Frames a second.
    pub(super) rate_hz: f64,
    /// Its begin.
    pub(super) start: Timestamp,
}

impl About {
    /// The middle of a frame's time.
    pub(super) fn at(&self, number: u32) -> Option<Timestamp> {
        let late = SignedDuration::try_from_secs_f64((f64::from(number) + 0.5) / self.rate_hz).ok()?;
        self.start.checked_add(late).ok()
    }
}

/// Asks a video for its frame rate and its begin.
///
/// * `start`: when it begins, if the video does not say or is wrong.
///
/// # Errors
///
/// The program is not there, the file is no video, or nobody says when it begins.
pub(super) fn about(path: &Path, start: Option<Timestamp>) -> Result<About, Failure> {
    let (rate_hz, said) = ask(path)?;
    let start = start.or(said).ok_or_else(|| {
        Failure::new(
            format!("{} does not say when it was taken", path.display()),
            "give its begin as --start 2026-03-14T20:00:00Z",
        )
    })?;
    Ok(About { rate_hz, start })
}

/// The first moments as one picture, whose stars stand out of the noise; `None` where no frame can be opened.
///
/// # Errors
///
/// The program is not there, or the video breaks off.
pub(super) fn still(path: &Path, about: &About) -> Result<Option<Frame>, Failure> {
    let frames = (STILL_S * about.rate_hz).clamp(1.0, STILL_FRAMES).floor();
    let mut sums: Vec<u32> = Vec::new();
    let mut head = Vec::new();
    let mut count = 0u32;
    each_picture(path, Some(frames), &mut |picture, head_bytes| {
        let (first, numbers) = picture.split_at(head_bytes);
        if sums.is_empty() {
            head = first.to_vec();
            sums = vec![0; numbers.len()];
        }
        sums.iter_mut().zip(numbers).for_each(|(sum, number)| *sum += u32::from(*number));
        count += 1;
    })?;
    let mean = |sum: &u32| u8::try_from((sum + count / 2) / count.max(1)).unwrap_or(u8::MAX);
    head.extend(sums.iter().map(mean));
    Ok(open(&head, &Limits::default()).ok())
}

/// Hands on the frames of a video in order, with their numbers from 0.
///
/// # Errors
///
/// The program is not there, or the video breaks off.
pub(super) fn each_frame(path: &Path, each: &mut dyn FnMut(u32, &Frame)) -> Result<(), Failure> {
    let mut number = 0u32;
    each_picture(path, None, &mut |picture, _head_bytes| {
        // eight bits under the usual curve are opened as such, so that light is linear
        if let Ok(frame) = open(picture, &Limits::default()) {
            each(number, &frame);
        }
        number = number.saturating_add(1);
    })
}

/// Hands on every frame as a portable pixel map, with the length of its head; one is held at a time.
///
/// * `most`: frames from the beginning; all where it is not given.
fn each_picture(path: &Path, most: Option<f64>, each: &mut dyn FnMut(&[u8], usize)) -> Result<(), Failure> {
    let mut command = Command::new("ffmpeg");
    command.args(["-v", "error", "-nostdin", "-i"]).arg(path).args(["-map", "0:v:0"]);
    command.args(["-vf", &format!("scale=w='min(iw,{MOST_COLUMNS})':h=-2:flags=area")]);
    if let Some(most) = most {
        command.args(["-frames:v", &format!("{most:.0}")]);
    }
    let mut child = command
        .args(["-f", "image2pipe", "-c:v", "ppm", "-"])
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .map_err(|error| missing("ffmpeg", &error))?;
    let mut count = 0u32;
    if let Some(out) = child.stdout.take() {
        let mut out = BufReader::new(out);
        let mut picture = Vec::new();
        while let Some(head_bytes) = next_picture(&mut out, &mut picture) {
            each(&picture, head_bytes);
            count = count.saturating_add(1);
        }
    }
    let ended = child.wait().map_err(|error| missing("ffmpeg", &error))?;
    if count == 0 || !ended.success() {
        return Err(Failure::new(
            format!("{} could be read only up to frame {count}", path.display()),
            "check that it is a whole video, or export its frames as pictures",
        ));
    }
    Ok(())
}

/// Reads the next portable pixel map of 8 bits in place of the one before, and gives the length of its head; `None` at the end.
fn next_picture(out: &mut impl BufRead, picture: &mut Vec<u8>) -> Option<usize> {
    picture.clear();
    let mut lines = 0;
    // ffmpeg writes the format, the two sides and the depth on three lines
    while lines < 3 {
        let read = out.by_ref().take(LONGEST_HEAD as u64).read_until(b'\n', picture).ok()?;
        if read == 0 || picture.len() > LONGEST_HEAD {
            return None;
        }
        lines += 1;
    }
    let head_bytes = picture.len();
    let words: Vec<&str> = std::str::from_utf8(picture).ok()?.split_ascii_whitespace().collect();
    let ["P6", width, height, "255"] = words.as_slice() else { return None };
    let numbers = width.parse::<usize>().ok()?.checked_mul(height.parse().ok()?)?.checked_mul(3)?;
    picture.resize(head_bytes.checked_add(numbers)?, 0);
    out.read_exact(picture.get_mut(head_bytes..)?).ok()?;
    Some(head_bytes)
}

fn missing(program: &str, error: &std::io::Error) -> Failure {
    if error.kind() == ErrorKind::NotFound {
        return Failure::new(
            format!("a video is read through {program}, which is not installed"),
            "install ffmpeg from your system's packages, or export the frames as pictures",
        );
    }
    Failure::new(format!("{program} cannot be run: {error}"), "check that it runs from a terminal")
}

/// Frames a second, and when it says it was taken.
fn ask(path: &Path) -> Result<(f64, Option<Timestamp>), Failure> {
    let out = Command::new("ffprobe")
        .args(["-v", "error", "-select_streams", "v:0", "-of", "json", "-show_entries"])
        .arg("stream=avg_frame_rate:format_tags=creation_time")
        .arg(path)
        .stdin(Stdio::null())
        .output()
        .map_err(|error| missing("ffprobe", &error))?;
    let unread = || {
        Failure::new(
            format!("{} cannot be read as a video", path.display()),
            "check that it plays, or export its frames as pictures",
        )
    };
    let said: serde_json::Value = serde_json::from_slice(&out.stdout).map_err(|_cause| unread())?;
    let rate = said.pointer("/streams/0/avg_frame_rate").and_then(|rate| rate.as_str()).ok_or_else(unread)?;
    let (above, below) = rate.split_once('/').ok_or_else(unread)?;
    let rate_hz = above.parse::<f64>().ok().zip(below.parse::<f64>().ok()).map(|(above, below)| above / below);
    let rate_hz = rate_hz.filter(|rate| rate.is_finite() && *rate > 0.0).ok_or_else(unread)?;
    let taken = said.pointer("/format/tags/creation_time").and_then(|time| time.as_str());
    Ok((rate_hz, taken.and_then(|time| time.parse().ok())))
}
