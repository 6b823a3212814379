//! The program `ffmpeg`: one run of it a piece of the clip, and one that joins the pieces.

use std::collections::VecDeque;
use std::io::{BufRead, BufReader, ErrorKind, Read, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::thread::JoinHandle;

use job::{ClipCodec, ClipRequest};

use crate::failure::Failure;

/// Lines of complaint that are kept.
const COMPLAINTS: usize = 4;

/// How a codec is asked for: encoder, its options, and both in words.
///
/// Quality is constant, near what cannot be told from the original (x264's own documentation names 17 to 18 as such; SVT-AV1's
/// scale is another, 30 judged alike), and speeds are the encoders' usual ones.
struct Codec {
    options: &'static [&'static str],
    words: &'static str,
}

fn codec(codec: ClipCodec) -> Codec {
    match codec {
        ClipCodec::H264 => Codec {
            options: &["-c:v", "libx264", "-preset", "medium", "-crf", "18"],
            words: "H.264 by x264, constant quality 18",
        },
        ClipCodec::Av1 => Codec {
            options: &["-c:v", "libsvtav1", "-preset", "8", "-crf", "30"],
            words: "AV1 by SVT-AV1, constant quality 30",
        },
    }
}

/// The encoder in words.
pub(crate) fn words(request: &ClipRequest) -> String {
    codec(request.codec).words.to_owned()
}

/// Whether the program is there and knows the encoder.
///
/// # Errors
///
/// One sentence with the remedy.
pub(crate) fn check(request: &ClipRequest) -> Result<(), Failure> {
    let out = Command::new("ffmpeg").args(["-v", "error", "-encoders"]).stdin(Stdio::null()).output();
    let out = out.map_err(|error| cannot_run(&error))?;
    let name = codec(request.codec).options.get(1).copied().unwrap_or_default();
    let known = String::from_utf8_lossy(&out.stdout).lines().any(|line| line.split_whitespace().nth(1) == Some(name));
    if known {
        return Ok(());
    }
    let other = match request.codec {
        ClipCodec::H264 => "av1",
        ClipCodec::Av1 => "h264",
    };
    Err(Failure::new(
        format!("the ffmpeg installed has no encoder {name}"),
        format!("install a complete ffmpeg from your system's packages, or give --codec {other}"),
    ))
}

fn cannot_run(error: &std::io::Error) -> Failure {
    if error.kind() == ErrorKind::NotFound {
        return Failure::new(
            "a clip is packed by ffmpeg, which is not installed",
            "install ffmpeg from your system's packages (Debian and Ubuntu: apt install ffmpeg)",
        );
    }
    Failure::new(format!("ffmpeg cannot be run: {error}"), "check that it runs from a terminal")
}

/// A piece in the making.
pub(crate) struct Piece {
    child: Child,
    input: Option<ChildStdin>,
    complaints: Option<JoinHandle<VecDeque<String>>>,
    progress: Option<JoinHandle<()>>,
}

impl Piece {
    /// Begins a piece.
    ///
    /// * `packed`: counts the frames that have come out of the encoder.
    pub(crate) fn begin(
        path: &Path,
        request: &ClipRequest,
        [width, height]: [usize; 2],
        packed: &Arc<AtomicU64>,
    ) -> Result<Self, Failure> {
        let mut command = Command::new("ffmpeg");
        command
            .args(["-v", "error", "-nostdin", "-y", "-progress", "pipe:1", "-f", "rawvideo", "-pix_fmt", "rgb24"])
            .args(["-s", &format!("{width}x{height}"), "-r", &request.frames_per_s.to_string(), "-i", "pipe:0"])
            // colour as television has it, so that players need not guess
            .args(["-vf", "scale=out_color_matrix=bt709:out_range=tv,format=yuv420p"])
            .args(codec(request.codec).options)
            .args(["-colorspace", "bt709", "-color_primaries", "bt709", "-color_trc", "iec61966-2-1"])
            .args(["-color_range", "tv", "-fflags", "+bitexact", "-f", "mp4"])
            .arg(path)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped());
        own_group(&mut command);
        let mut child = command.spawn().map_err(|error| cannot_run(&error))?;
        let complaints = child.stderr.take().map(|errors| std::thread::spawn(move || last_lines(errors)));
        let progress = child.stdout.take().map(|out| {
            let packed = Arc::clone(packed);
            std::thread::spawn(move || follow(out, &packed))
        });
        Ok(Self { input: child.stdin.take(), child, complaints, progress })
    }

    /// Whether the encoder has ended, whatever became of it.
    pub(crate) fn is_ended(&mut self) -> bool {
        // one that cannot be asked is waited for by `finish`
        !matches!(self.child.try_wait(), Ok(None))
    }

    /// Hands one picture over; waits while the encoder is busy.
    pub(crate) fn push(&mut self, rgb: &[u8]) -> Result<(), Failure> {
        let written = self.input.as_mut().map_or(Ok(()), |input| input.write_all(rgb));
        match written {
            Ok(()) => Ok(()),
            Err(error) => {
                let complaint = self.complaint();
                Err(failed(&if complaint.is_empty() { error.to_string() } else { complaint }))
            }
        }
    }

    /// No more pictures come; the rest is packed while others go on.
    pub(crate) fn close(&mut self) {
        self.input = None;
    }

    /// Waits for the end.
    pub(crate) fn finish(mut self) -> Result<(), Failure> {
        self.close();
        let ended = self.child.wait().map_err(|error| cannot_run(&error))?;
        let complaint = self.complaint();
        if let Some(progress) = self.progress.take() {
            // it counts, and cannot fail
            let _ended = progress.join();
        }
        if ended.success() { Ok(()) } else { Err(failed(&complaint)) }
    }

    fn complaint(&mut self) -> String {
        let lines = self.complaints.take().and_then(|lines| lines.join().ok()).unwrap_or_default();
        lines.into_iter().collect::<Vec<_>>().join("; ")
    }
}

impl Drop for Piece {
    fn drop(&mut self) {
        self.close();
        // a piece that is given up; it ends by itself once its input is closed
        let _ended = self.child.wait();
    }
}

fn failed(complaint: &str) -> Failure {
    Failure::new(
        format!("ffmpeg gave up: {}", if complaint.is_empty() { "it says no reason" } else { complaint }),
        "check the space on the disk, then run the same command again: it goes on where it stopped",
    )
}

/// A stop from the keyboard is for this program: what the encoder has must not break off in the middle.
#[cfg(unix)]
fn own_group(command: &mut Command) {
    use std::os::unix::process::CommandExt;
    command.process_group(0);
}

/// A stop from the keyboard is for this program: what the encoder has must not break off in the middle.
#[cfg(not(unix))]
fn own_group(_command: &mut Command) {}

fn last_lines(errors: impl Read) -> VecDeque<String> {
    let mut last = VecDeque::new();
    for line in BufReader::new(errors).lines().map_while(Result::ok) {
        if last.len() == COMPLAINTS {
            last.pop_front();
        }
        last.push_back(line);
    }
    last
}

/// Counts what `-progress` says: lines of `frame=` with the number in this piece.
fn follow(out: impl Read, packed: &AtomicU64) {
    let mut before = 0;
    for line in BufReader::new(out).lines().map_while(Result::ok) {
        let frame = line.strip_prefix("frame=").and_then(|number| number.trim().parse::<u64>().ok());
        if let Some(now) = frame.filter(|now| *now > before) {
            packed.fetch_add(now - before, Ordering::Relaxed);
            before = now;
        }
    }
}

/// Joins finished pieces without packing them again, with what is said of the clip in its head.
///
/// * `list`: file of the pieces, as the `concat` reader of ffmpeg takes it.
pub(crate) fn join(list: &Path, out: &Path, said: &[(&str, &str)]) -> Result<(), Failure> {
    let mut command = Command::new("ffmpeg");
    command.args(["-v", "error", "-nostdin", "-y", "-f", "concat", "-safe", "0", "-i"]).arg(list);
    command.args(["-map", "0:v:0", "-c", "copy", "-movflags", "+faststart"]);
    for (name, text) in said {
        command.args(["-metadata", &format!("{name}={text}")]);
    }
    let done = command.args(["-f", "mp4"]).arg(out).stdin(Stdio::null()).stdout(Stdio::null()).output();
    let done = done.map_err(|error| cannot_run(&error))?;
    if done.status.success() { Ok(()) } else { Err(failed(String::from_utf8_lossy(&done.stderr).trim())) }
}
