//! `quietarc outing saw`: what was met.

use std::path::Path;

use job::{CheckReport, SeenOutcome};
use journal::{Journal, Met, OutingId};
use quantity::{Basis, Estimate};

use super::{now, open_journal, request_from};
use crate::cli::{MetChoice, OutingSawArgs};
use crate::failure::{Failure, Outcome};
use crate::output;

/// Spread of a brightness told by eye, dex: a factor of two. A judgement: the classes IBC I to IV, which an observer
/// tells apart, are factors of ten.
const TOLD_SPREAD_DEX: f64 = 0.3;
/// Brightness that a person may tell, kR.
const TOLD_KR: std::ops::RangeInclusive<f64> = 0.01..=10_000.0;

pub(super) fn run(arguments: &OutingSawArgs) -> Result<Outcome, Failure> {
    if arguments.eye.is_none() && arguments.camera.is_none() {
        return Err(Failure::new("nothing is said of eye or camera", "give --eye yes, no or cloud, or --camera so"));
    }
    let told = brightness(arguments)?;
    let journal = open_journal(&arguments.journal)?;
    let (id, title) = find_outing(&journal, &arguments.name)?;
    let brightness = if arguments.from_reading { Some(read(&journal, id)?) } else { told };
    let met = Met {
        said_at: now(),
        eye: arguments.eye.map(outcome),
        camera: arguments.camera.map(outcome),
        kr: brightness.as_ref().map(|(kr, _)| *kr),
        kr_source: brightness.map(|(_, source)| source),
    };
    journal.record_met(id, &met)?;
    if arguments.json {
        output::json(&met)?;
    } else {
        let scores = super::scores::of_journal(&journal, None)?;
        output::answer(&format!("kept for outing {id}, {title}\n{}", scores.past_skill))?;
    }
    Ok(Outcome::Done)
}

/// The outing of that number, or the only one of that title.
pub(super) fn find_outing(journal: &Journal, name: &str) -> Result<(OutingId, String), Failure> {
    let outings = journal.outings()?;
    let by_number = name.parse().ok().map(OutingId::new);
    if let Some(outing) = outings.iter().find(|outing| Some(outing.id) == by_number) {
        return Ok((outing.id, outing.title.clone()));
    }
    let mut titled = outings.iter().filter(|outing| outing.title == name);
    match (titled.next(), titled.next()) {
        (Some(outing), None) => Ok((outing.id, outing.title.clone())),
        (Some(_), Some(_)) => Err(Failure::new(
            format!("several outings have the title {name:?}"),
            "give the number that quietarc outing list shows",
        )),
        (None, _) => Err(Failure::new(format!("there is no outing {name:?}"), "see them: quietarc outing list")),
    }
}

/// The brightness said or measured, with where it is from.
fn brightness(arguments: &OutingSawArgs) -> Result<Option<(Estimate, String)>, Failure> {
    if let Some(path) = &arguments.from_check {
        return measured(path).map(Some);
    }
    let Some(kr) = arguments.kr else { return Ok(None) };
    if !TOLD_KR.contains(&kr) {
        let (low, high) = (TOLD_KR.start(), TOLD_KR.end());
        return Err(Failure::new(
            format!("--kr {kr} is no brightness of an aurora"),
            format!("give {low} to {high} kR"),
        ));
    }
    let told = Estimate::logarithmic(kr, TOLD_SPREAD_DEX, Basis::Assumed);
    Ok(Some((told, "a person's word".to_owned())))
}

fn measured(path: &Path) -> Result<(Estimate, String), Failure> {
    let report: CheckReport = request_from(path)?;
    let aurora = report.aurora.as_ref();
    if aurora.is_some_and(|aurora| aurora.is_least) {
        return Err(Failure::new(
            format!("{} gives only a least brightness: it cannot be scored", path.display()),
            "take a frame with some sky free of aurora, or give --kr",
        ));
    }
    aurora.and_then(|aurora| aurora.brightest_kr).map(|kr| (kr, report.file.clone())).ok_or_else(|| {
        Failure::new(format!("{} tells no brightness of an aurora", path.display()), "take another frame, or give --kr")
    })
}

/// The brightest of what the frames of an outing said.
fn read(journal: &Journal, outing: OutingId) -> Result<(Estimate, String), Failure> {
    let mut why = "no frames of it were read".to_owned();
    let mut best: Option<(Estimate, String)> = None;
    for summary in journal.readings(Some(outing))? {
        match journal.reading(summary.id)?.brightest_kr() {
            Ok((at, kr)) if best.as_ref().is_none_or(|(most, _)| kr.value > most.value) => {
                best = Some((kr, format!("frames of {}, {at}", summary.name)));
            }
            Ok(_) => {}
            Err(reason) => why = format!("{}: {reason}", summary.name),
        }
    }
    best.ok_or_else(|| {
        Failure::new(
            format!("outing {outing} has no measured brightness: {why}"),
            "read frames that show stars and aurora (quietarc read FOLDER --save OUTING), or give --kr",
        )
    })
}

fn outcome(choice: MetChoice) -> SeenOutcome {
    match choice {
        MetChoice::Yes => SeenOutcome::Yes,
        MetChoice::No => SeenOutcome::No,
        MetChoice::Cloud => SeenOutcome::Cloud,
    }
}
