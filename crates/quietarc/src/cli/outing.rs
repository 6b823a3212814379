//! Arguments of `quietarc outing`.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

use super::JournalArgs;

/// `quietarc outing`
#[derive(Debug, Args)]
pub struct OutingArgs {
    /// What to do with the outings.
    #[command(subcommand)]
    pub action: OutingAction,
}

/// What to do with the outings.
#[derive(Debug, Subcommand)]
pub enum OutingAction {
    /// The outings kept, the newest first
    List(OutingListArgs),
    /// What was asked and answered for an outing
    Show(OutingNameArgs),
    /// Keep what was met on an outing, in the place of what was said of it before
    Saw(OutingSawArgs),
    /// Forget an outing with its predictions
    Remove(OutingNameArgs),
}

/// `quietarc outing list`
#[derive(Debug, Args)]
pub struct OutingListArgs {
    /// The list as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// An outing by its number.
#[derive(Debug, Args)]
#[command(after_help = "quietarc outlook --save TITLE keeps an outing; quietarc outing list gives the numbers.")]
pub struct OutingNameArgs {
    /// Its number, as the list gives it
    #[arg(value_name = "NUMBER")]
    pub number: i64,
    /// The report as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// What an eye or a camera met.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum MetChoice {
    /// Aurora
    Yes,
    /// None, under a sky that would have let it through
    No,
    /// Cloud hid the sky
    Cloud,
}

/// `quietarc outing saw`
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  quietarc outing saw 3 --eye yes --camera yes --kr 5\n  quietarc outing saw 3 --eye no --camera yes --from-check report.json"
)]
pub struct OutingSawArgs {
    /// The outing: its number, or its title where only one has it
    #[arg(value_name = "OUTING")]
    pub name: String,
    /// Did a dark-adapted eye see it?
    #[arg(long)]
    pub eye: Option<MetChoice>,
    /// Did the camera record it?
    #[arg(long)]
    pub camera: Option<MetChoice>,
    /// Green light of the brightest aurora, kR, by a person's judgement (taken to be good to a factor of two)
    #[arg(long, conflicts_with = "from_check", allow_negative_numbers = true)]
    pub kr: Option<f64>,
    /// Take the brightness from the report of a frame (quietarc check FRAME --json)
    #[arg(long, value_name = "FILE")]
    pub from_check: Option<PathBuf>,
    /// Take the brightness from what the frames of this outing said (quietarc read FOLDER --save OUTING)
    #[arg(long, conflicts_with_all = ["kr", "from_check"])]
    pub from_reading: bool,
    /// What is kept, as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}
