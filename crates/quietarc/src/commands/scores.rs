//! `quietarc scores`: what outlooks said against what was met.

use job::{OutlookReport, ScoresReport, ScoresRequest};
use journal::Journal;

use super::{open_journal_if_there, save_picture};
use crate::cli::{JournalArgs, ScoresArgs};
use crate::failure::{Failure, Outcome};
use crate::{output, present_scores};

pub(super) fn run(arguments: &ScoresArgs) -> Result<Outcome, Failure> {
    let report = kept(&arguments.journal)?;
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
fn kept(arguments: &JournalArgs) -> Result<ScoresReport, Failure> {
    match open_journal_if_there(arguments)? {
        Some(journal) => of_journal(&journal),
        None => Ok(job::scores(&ScoresRequest { outings: Vec::new() })?),
    }
}

/// The scores of what a journal keeps.
pub(crate) fn of_journal(journal: &Journal) -> Result<ScoresReport, Failure> {
    Ok(job::scores(&ScoresRequest { outings: journal.scored_outings()? })?)
}

/// An outlook with the record that the journal keeps of earlier ones.
pub(super) fn with_record(report: OutlookReport, arguments: &JournalArgs) -> Result<OutlookReport, Failure> {
    Ok(report.with_past_scores(kept(arguments)?))
}
