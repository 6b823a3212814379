//! `quietarc scores`: what outlooks said against what was met.

use jiff::civil::Date;
use job::{OutlookReport, ScoresReport, ScoresRequest};
use journal::Journal;

use super::{open_journal_if_there, save_picture};
use crate::cli::{JournalArgs, ScoresArgs};
use crate::failure::{Failure, Outcome};
use crate::{output, present_scores};

pub(super) fn run(arguments: &ScoresArgs) -> Result<Outcome, Failure> {
    let report = kept(&arguments.journal, None)?;
    if let Some(path) = &arguments.svg {
        save_picture(path, &draw::reliability_diagram(&report, &draw::ReliabilityStyle::default()))?;
    }
    if arguments.json {
        output::json(&report)?;
    } else {
        output::answer(&present_scores::scores(&report))?;
    }
    Ok(Outcome::Done)
}

/// The scores of the journal named; of no outing where there is no journal.
fn kept(arguments: &JournalArgs, before: Option<Date>) -> Result<ScoresReport, Failure> {
    match open_journal_if_there(arguments)? {
        Some(journal) => of_journal(&journal, before),
        None => Ok(job::scores(&ScoresRequest { outings: Vec::new() })?),
    }
}

/// The scores of what a journal keeps; of the nights before one, where that is asked.
pub(crate) fn of_journal(journal: &Journal, before: Option<Date>) -> Result<ScoresReport, Failure> {
    let mut outings = journal.scored_outings()?;
    // an outlook for a night long past must not boast of what came after it
    outings.retain(|outing| before.is_none_or(|night| outing.night < night));
    Ok(job::scores(&ScoresRequest { outings })?)
}

/// An outlook with the record that the journal keeps of earlier nights.
pub(super) fn with_record(report: OutlookReport, arguments: &JournalArgs) -> Result<OutlookReport, Failure> {
    let scores = kept(arguments, Some(report.request.night))?;
    Ok(report.with_past_scores(scores))
}
