//! The eye view of a large frame, by the clock and on the core, beside decoding alone.
//!
//! The clip has a bench of its own (`clip.rs`): it needs ffmpeg.

#![expect(clippy::unwrap_used, reason = "a benchmark of a wrong input is no benchmark")]
#![expect(clippy::print_stdout, reason = "a benchmark is there to print")]

#[path = "../../job/benches/check/clock.rs"]
mod clock;
#[path = "../../job/benches/check/night_frame.rs"]
mod night_frame;

use std::hint::black_box;
use std::time::Instant;

use job::{CheckRequest, TellEyeRequest, check, tell_eye};

use self::clock::{decode, middle, seconds};

/// 24 megapixels.
const LARGE: [u16; 2] = [6000, 4000];
/// Rounds; the middle one counts.
const ROUNDS: usize = 5;
/// Seconds by the clock that the eye view of such a frame may take.
const MOST_S: f64 = 1.5;
/// What this bench is called in the table.
const NAME: &str = "tell/eye";

fn main() {
    let wanted: Vec<String> = std::env::args().skip(1).filter(|argument| !argument.starts_with('-')).collect();
    // criterion's settings are numbers; anything else is a filter
    let filters: Vec<&String> = wanted.iter().filter(|argument| argument.parse::<f64>().is_err()).collect();
    if !filters.is_empty() && !filters.iter().any(|filter| NAME.contains(filter.as_str())) {
        return;
    }
    let bytes = night_frame::jpeg(LARGE);
    let request = TellEyeRequest {
        frame: CheckRequest { name: "frame.jpg".to_owned(), ..CheckRequest::default() },
        ..TellEyeRequest::default()
    };
    let told = tell_eye(&request, &bytes);
    let has_view = told.pictures.is_some_and(|pictures| pictures.eye_rgb.is_some());
    println!("{NAME}, a view is told: {}", told.report.why_not.unwrap_or_else(|| has_view.to_string()));
    let (mut walls, mut cores) = (Vec::new(), Vec::new());
    for _round in 0..ROUNDS {
        let begun = Instant::now();
        cores.push(seconds(|| black_box(tell_eye(&request, &bytes))));
        walls.push(begun.elapsed().as_secs_f64());
    }
    let rounds = |work: &dyn Fn()| middle((0..ROUNDS).map(|_round| seconds(work)).collect());
    let decode_s = rounds(&|| drop(black_box(decode(&bytes))));
    let check_s = rounds(&|| drop(black_box(check(&request.frame, &bytes))));
    let (wall_s, core_s) = (middle(walls), middle(cores));
    println!("{NAME}, decode alone, 24 MP: {:.0} ms", decode_s * 1e3);
    println!("{NAME}, measuring, decode included, 24 MP: {:.0} ms", check_s * 1e3);
    println!("{NAME}, 24 MP, on the core: {:.0} ms", core_s * 1e3);
    println!("{NAME}, 24 MP, by the clock: {:.0} ms (at most {:.0})", wall_s * 1e3, MOST_S * 1e3);
}
