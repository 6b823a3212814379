//! `quietarc outing`: what the journal keeps of a night.

use std::fmt::Write;

use journal::{OutingId, ReadingSummary};

use super::open_journal;
use crate::cli::{OutingAction, OutingArgs, OutingListArgs, OutingNameArgs};
use crate::failure::{Failure, Outcome};
use crate::{output, present};

pub(super) fn run(arguments: &OutingArgs) -> Result<Outcome, Failure> {
    match &arguments.action {
        OutingAction::List(arguments) => list(arguments),
        OutingAction::Show(arguments) => show(arguments),
        OutingAction::Saw(arguments) => super::outing_saw::run(arguments),
        OutingAction::Remove(arguments) => remove(arguments),
    }
}

fn list(arguments: &OutingListArgs) -> Result<Outcome, Failure> {
    let outings = open_journal(&arguments.journal)?.outings()?;
    if arguments.json {
        output::json(&outings)?;
        return Ok(Outcome::Done);
    }
    let mut text = String::new();
    for outing in &outings {
        let invented = if outing.invented { " (invented)" } else { "" };
        let answer = if outing.latest.is_some() { "" } else { ", nothing predicted yet" };
        // writing to a String cannot fail
        let _written = writeln!(
            text,
            "{:>4}  {}  {}: {}{invented}{answer}",
            outing.id, outing.night, outing.site_name, outing.title
        );
    }
    if outings.is_empty() {
        text.push_str("No outing is kept yet: quietarc outlook --site NAME --save TITLE");
    }
    output::answer(&text)?;
    Ok(Outcome::Done)
}

fn show(arguments: &OutingNameArgs) -> Result<Outcome, Failure> {
    let journal = open_journal(&arguments.journal)?;
    let id = OutingId::new(arguments.number);
    let outing = journal.outing(id)?;
    let readings = readings(&journal.readings(Some(id))?);
    let Some(report) = journal.latest_prediction(id)? else {
        if !readings.is_empty() && !arguments.json {
            output::answer(&format!("== {}\n\nnothing was predicted\n{readings}", outing.title))?;
            return Ok(Outcome::Done);
        }
        return Err(Failure::new(
            format!("nothing was predicted for outing {id}, {}", outing.title),
            "ask: quietarc outlook --site NAME --save TITLE",
        ));
    };
    if arguments.json {
        output::json(&report)?;
    } else {
        output::answer(&format!("== {}\n\n{}\n{readings}", outing.title, present::outlook(&report)))?;
    }
    Ok(Outcome::Done)
}

/// What frames said of the outing, a line each.
fn readings(kept: &[ReadingSummary]) -> String {
    let mut text = String::new();
    for reading in kept {
        let span = match (reading.first_at, reading.last_at) {
            (Some(first), Some(last)) => format!(" from {first} to {last}"),
            _ => String::new(),
        };
        // writing to a String cannot fail
        let _written = writeln!(
            text,
            "read: {}: {} frames{span}, {} left out (kept {:.0})",
            reading.name, reading.frames, reading.skipped, reading.read_at
        );
    }
    text
}

fn remove(arguments: &OutingNameArgs) -> Result<Outcome, Failure> {
    let journal = open_journal(&arguments.journal)?;
    let id = OutingId::new(arguments.number);
    let outing = journal.outing(id)?;
    journal.remove_outing(id)?;
    if arguments.json {
        output::json(&outing)?;
    } else {
        output::answer(&format!("outing {id}, {}, is forgotten", outing.title))?;
    }
    Ok(Outcome::Done)
}
