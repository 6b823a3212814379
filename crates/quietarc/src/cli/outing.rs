//! Arguments of `quietarc outing`.

use clap::{Args, Subcommand};

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
