//! `quietarc feeds status`

use crate::cli::FeedsStatusArgs;
use crate::commands::{now, open_journal};
use crate::failure::{Failure, Outcome};
use crate::feed_standing::FeedsReport;
use crate::output;
use crate::stored_feeds::settings;

pub(super) fn run(arguments: &FeedsStatusArgs) -> Result<Outcome, Failure> {
    let asked_at = arguments.asked_at.unwrap_or_else(now);
    let settings = settings(&arguments.settings)?;
    let report = FeedsReport::read(&settings, &open_journal(&arguments.journal)?, asked_at)?;
    if arguments.json {
        output::json(&report)?;
    } else {
        output::answer(&report.text())?;
    }
    Ok(Outcome::Done)
}
