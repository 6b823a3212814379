//! A clip by the program beside ffmpeg's own encode of the same frames with the same settings, in turn on the same machine.
//!
//! `cargo bench -p quietarc --bench clip -- --frames 60` for fewer frames than the 300 that the project holds itself to.

#![expect(clippy::unwrap_used, reason = "a benchmark of a wrong input is no benchmark")]
#![expect(clippy::print_stdout, reason = "a benchmark is there to print")]

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

/// Frames of the sequence that the limit is for.
const FRAMES: usize = 300;
/// Sides of the frames, px: 6 megapixels, a camera's medium JPEG.
const SIZE: [u16; 2] = [3000, 2000];
/// Time over ffmpeg's own that a clip may take.
const MOST: f64 = 1.3;
/// What this bench is called in the table.
const NAME: &str = "tell/clip, ";

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let frames = arguments
        .iter()
        .position(|argument| argument == "--frames")
        .and_then(|place| arguments.get(place + 1)?.parse().ok())
        .unwrap_or(FRAMES);
    let values = ["--frames", "--warm-up-time", "--measurement-time", "--sample-size"];
    let is_filter = |(place, argument): &(usize, &String)| {
        !argument.starts_with("--") && (*place == 0 || !values.contains(&arguments[*place - 1].as_str()))
    };
    let filter = arguments.iter().enumerate().find(is_filter).map(|(_, filter)| filter.as_str());
    if filter.is_some_and(|filter| !NAME.contains(filter)) {
        return;
    }
    if Command::new("ffmpeg").arg("-version").output().is_err() {
        println!("skipped: ffmpeg is not installed");
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let night = folder.path().join("night");
    std::fs::create_dir(&night).unwrap();
    for number in 0..frames {
        std::fs::write(night.join(format!("f{number:05}.jpg")), picture(number)).unwrap();
    }
    let by_ffmpeg = timed(ffmpeg(&night, &folder.path().join("ffmpeg.mp4")));
    let by_program = timed(program(&night, &folder.path().join("clip.mp4")));
    let ratio = by_program / by_ffmpeg;
    println!(
        "{NAME}{frames} frames at 1080 lines over ffmpeg's own encode: ratio {ratio:.2} ({by_program:.1} s for {by_ffmpeg:.1} s; at most {MOST})"
    );
}

fn timed(mut command: Command) -> f64 {
    let begun = Instant::now();
    let done = command.stdout(Stdio::null()).stderr(Stdio::piped()).output().unwrap();
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    begun.elapsed().as_secs_f64()
}

fn ffmpeg(night: &Path, out: &Path) -> Command {
    let mut command = Command::new("ffmpeg");
    command.args(["-v", "error", "-nostdin", "-y", "-framerate", "25", "-i"]).arg(night.join("f%05d.jpg"));
    command
        .args(["-vf", "scale=1920:1080:force_original_aspect_ratio=increase:flags=area,crop=1920:1080,format=yuv420p"]);
    command.args(["-c:v", "libx264", "-preset", "medium", "-crf", "18"]).arg(out);
    command
}

fn program(night: &Path, out: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quietarc"));
    command.args(["tell", "clip", "--out"]).arg(out).arg(night);
    command
}

/// A dark sky with grain, stars and a band that wanders: what an encoder has to work for.
fn picture(number: usize) -> Vec<u8> {
    let [width, height] = SIZE.map(usize::from);
    let mut rgb = Vec::with_capacity(3 * width * height);
    let mut state = u32::try_from(number).unwrap().wrapping_mul(2_654_435_761).wrapping_add(1);
    for y in 0..height {
        let arc = (y as f64 - 700.0 - 200.0 * (number as f64 / 40.0).sin()) / 120.0;
        let green = 90.0 * (-arc * arc).exp();
        for x in 0..width {
            state ^= state << 13;
            state ^= state >> 17;
            state ^= state << 5;
            let star = (x * 7919 + y * 104_729) % 40_009 == 0;
            let grain = f64::from(state % 9);
            let [low, high] = if star { [200.0, 220.0] } else { [14.0 + grain, 20.0 + grain + green] };
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "below 256")]
            rgb.extend([low as u8, high as u8, low as u8]);
        }
    }
    let mut bytes = Vec::new();
    let encoder = jpeg_encoder::Encoder::new(&mut bytes, 92);
    encoder.encode(&rgb, SIZE[0], SIZE[1], jpeg_encoder::ColorType::Rgb).unwrap();
    bytes
}
