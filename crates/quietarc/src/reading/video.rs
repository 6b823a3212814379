//! Frames of a video, through the program `ffmpeg`: grey, made small, one at a time.

use std::io::{ErrorKind, Read};
use std::path::Path;
use std::process::{Command, Stdio};

use frame::{Limits, open};
use jiff::SignedDuration;
use job::{ReadFrame, SequenceLight};
use quantity::Timestamp;

use crate::failure::Failure;

const ENDINGS: [&str; 8] = ["mp4", "mov", "mkv", "avi", "mts", "m4v", "webm", "mpg"];
/// Sides of the frames that are read, px: as many as the cells of a large still, fewer than its pixels.
const SIDE_PX: [usize; 2] = [640, 360];

pub(super) fn is_video(path: &Path) -> bool {
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_ascii_lowercase());
    ending.is_some_and(|ending| ENDINGS.contains(&ending.as_str()))
}

/// Hands on the frames of a video in order.
///
/// * `start`: when it begins, if the video does not say or is wrong.
///
/// # Errors
///
/// The program is not there, the file is no video, or nobody says when it begins.
pub(super) fn each_frame(
    path: &Path,
    start: Option<Timestamp>,
    each: &mut dyn FnMut(ReadFrame),
) -> Result<(), Failure> {
    let (rate_hz, said) = about(path)?;
    let start = start.or(said).ok_or_else(|| {
        Failure::new(
            format!("{} does not say when it was taken", path.display()),
            "give its begin as --start 2026-03-14T20:00:00Z",
        )
    })?;
    let [width, height] = SIDE_PX;
    let mut child = Command::new("ffmpeg")
        .args(["-v", "error", "-nostdin", "-i"])
        .arg(path)
        .args(["-map", "0:v:0", "-vf", &format!("scale={width}:{height}:flags=area"), "-f", "rawvideo"])
        .args(["-pix_fmt", "gray", "-"])
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .map_err(|error| missing("ffmpeg", &error))?;
    let head = format!("P5\n{width} {height}\n255\n").into_bytes();
    let mut picture = vec![0; head.len() + width * height];
    picture.splice(..head.len(), head.iter().copied());
    let mut count = 0_u32;
    if let Some(mut out) = child.stdout.take() {
        while out.read_exact(picture.get_mut(head.len()..).unwrap_or_default()).is_ok() {
            let late = SignedDuration::try_from_secs_f64(f64::from(count) / rate_hz).unwrap_or_default();
            // eight bits under the usual curve are opened as such, so that light is linear
            let light = open(&picture, &Limits::default()).and_then(|frame| SequenceLight::of(&frame));
            if let Some((light, at)) = light.ok().zip(start.checked_add(late).ok()) {
                each(ReadFrame {
                    name: format!("frame {count}"),
                    at,
                    exposure_s: None,
                    iso: None,
                    f_number: None,
                    light,
                    look: None,
                });
            }
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
fn about(path: &Path) -> Result<(f64, Option<Timestamp>), Failure> {
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
