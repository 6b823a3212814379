//! `quietarc tell account`

use std::path::PathBuf;

use clap::Args;

use crate::cli::JournalArgs;

/// `quietarc tell account`
#[derive(Debug, Args)]
#[command(
    after_help = "Only what the journal keeps of the outing is told: the outlook asked last, what was met (outing saw), and the reading kept last (read --save). No place finer than --place is named.\n\nExamples:\n  quietarc tell account 1 --place 'the north coast'\n  quietarc tell account 1 --html night.html --running-order night.csv --minutes-of-air 2\n  quietarc read --save 'A night in March' ~/Pictures/2026-03-14; quietarc tell account 1"
)]
pub struct TellAccountArgs {
    /// The outing's number, as quietarc outing list gives it
    #[arg(value_name = "OUTING")]
    pub outing: i64,
    /// Where it was, in your words and as coarse as you wish [default: no place is named]
    #[arg(long)]
    pub place: Option<String>,
    /// What quietarc read --json said of the frames [default: the reading kept last]
    #[arg(long, value_name = "FILE")]
    pub reading: Option<PathBuf>,
    /// Time on air, minutes [default: as long as it takes]
    #[arg(long, value_name = "MINUTES", allow_negative_numbers = true)]
    pub minutes_of_air: Option<f64>,
    /// Cards of the running order to come first, in this order: where, cause, foretold, seen, course, colours
    #[arg(long, value_name = "CARDS", value_delimiter = ',')]
    pub order: Vec<String>,
    /// Save the account as a page
    #[arg(long, value_name = "FILE")]
    pub html: Option<PathBuf>,
    /// Save the running order (.json or .csv)
    #[arg(long, value_name = "FILE")]
    pub running_order: Option<PathBuf>,
    /// The report as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}
