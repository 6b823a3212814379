//! `quietarc tell stack`

use job::{StackKind, StackReport, StackRequest};

use super::clip::{NOTED_EVERY, processors, stop_from_keyboard};
use crate::cli::StackArgs;
use crate::commands::read::offset_s;
use crate::failure::{Failure, Outcome};
use crate::output;
use crate::telling::stack::{Follower, StackTask, stack};

pub(super) fn run(arguments: &StackArgs) -> Result<Outcome, Failure> {
    let request = StackRequest {
        kind: match (arguments.brightest, arguments.aligned) {
            (false, _) => StackKind::Mean,
            (true, true) => StackKind::BrightestSky,
            (true, false) => StackKind::Trails,
        },
        clip_sigmas: arguments.sigmas,
        longest_px: arguments.size_px,
        credit: arguments.credit.clone(),
        place: arguments.place.clone(),
    };
    let stop = stop_from_keyboard();
    let task = StackTask {
        inputs: &arguments.inputs,
        out: &arguments.out,
        replace: arguments.replace,
        request: &request,
        utc_offset_s: offset_s(arguments.utc_offset)?,
        workers: arguments.workers.unwrap_or_else(processors),
        stop: &stop,
        noted_every: NOTED_EVERY,
    };
    let follower = Follower { note: &|text| output::note(text), step: &|news| output::note(&news.words) };
    let Some(report) = stack(&task, &follower)? else {
        return Err(Failure::new(
            format!("{} is not made", arguments.out.display()),
            "give the same command again to begin anew",
        ));
    };
    if arguments.json {
        output::json(&report)?;
    } else {
        let [width, height] = report.facts.stack_px;
        output::answer(&format!("{}: {width} x {height} px\n{}", arguments.out.display(), report.caption))?;
    }
    Ok(outcome(&report))
}

fn outcome(report: &StackReport) -> Outcome {
    let [failed, of] = [report.facts.left_out.len(), usize::try_from(report.facts.asked).unwrap_or(usize::MAX)];
    if failed == 0 { Outcome::Done } else { Outcome::SomeFailed { failed, of } }
}
