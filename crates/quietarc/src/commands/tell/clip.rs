//! `quietarc tell clip`

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use job::{ClipCodec, ClipReport, ClipRequest, ClipSize};

use crate::cli::{ClipArgs, ClipCodecChoice, ClipSizeChoice};
use crate::commands::read::offset_s;
use crate::failure::{Failure, Outcome};
use crate::output;
use crate::telling::clip::{ClipFollower, ClipTask, clip};

/// Time between two notes: often enough to see it move, seldom enough to be read.
pub(super) const NOTED_EVERY: Duration = Duration::from_secs(5);

pub(super) fn run(arguments: &ClipArgs) -> Result<Outcome, Failure> {
    let request = ClipRequest {
        codec: match arguments.codec {
            ClipCodecChoice::H264 => ClipCodec::H264,
            ClipCodecChoice::Av1 => ClipCodec::Av1,
        },
        frames_per_s: arguments.fps,
        size: match arguments.size {
            ClipSizeChoice::Lines1080 => ClipSize::Lines1080,
            ClipSizeChoice::Lines2160 => ClipSize::Lines2160,
            ClipSizeChoice::Source => ClipSize::Source,
        },
        portrait: arguments.portrait,
        whole_frame: arguments.whole_frame,
        clock: arguments.clock,
        even_exposure: arguments.even_exposure,
        credit: arguments.credit.clone(),
        place: arguments.place.clone(),
    };
    let stop = stop_from_keyboard();
    let task = ClipTask {
        inputs: &arguments.inputs,
        out: &arguments.out,
        replace: arguments.replace,
        request: &request,
        utc_offset_s: offset_s(arguments.utc_offset)?,
        workers: arguments.workers.unwrap_or_else(processors),
        stop: &stop,
        noted_every: NOTED_EVERY,
    };
    let follower = ClipFollower { note: &|text| output::note(text), packed: &|news| output::note(&news.words) };
    let Some(report) = clip(&task, &follower)? else {
        return Err(Failure::new(
            format!("{} is not finished", arguments.out.display()),
            "give the same command again to go on",
        ));
    };
    if arguments.json {
        output::json(&report)?;
    } else {
        output::answer(&words(&report, arguments))?;
    }
    Ok(outcome(&report))
}

fn words(report: &ClipReport, arguments: &ClipArgs) -> String {
    let [width, height] = report.facts.geometry.clip_px;
    format!("{}: {width} x {height} px, {:.1} s\n{}", arguments.out.display(), report.runs_s, report.caption)
}

fn outcome(report: &ClipReport) -> Outcome {
    let [failed, of] = [report.facts.left_out.len(), usize::try_from(report.facts.asked).unwrap_or(usize::MAX)];
    if failed == 0 { Outcome::Done } else { Outcome::SomeFailed { failed, of } }
}

pub(super) fn processors() -> usize {
    std::thread::available_parallelism().map_or(1, std::num::NonZero::get)
}

/// Becomes true at the first Ctrl-C; the second one ends the program at once, as if there were no such care.
pub(super) fn stop_from_keyboard() -> Arc<AtomicBool> {
    let stop = Arc::new(AtomicBool::new(false));
    let told = Arc::clone(&stop);
    // without it Ctrl-C ends the program at once, which loses no finished piece either
    let _without = std::thread::Builder::new().name("keyboard".to_owned()).spawn(move || {
        let Ok(runtime) = tokio::runtime::Builder::new_current_thread().enable_all().build() else { return };
        runtime.block_on(async {
            if tokio::signal::ctrl_c().await.is_ok() {
                told.store(true, Ordering::Relaxed);
                output::note("stopping after what is being packed; press Ctrl-C again to end at once");
            }
            if tokio::signal::ctrl_c().await.is_ok() {
                std::process::exit(2);
            }
        });
    });
    stop
}
