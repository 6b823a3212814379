//! `quietarc desk list` and `show`

use clap::{Args, ValueEnum};
use jiff::Timestamp;

use crate::cli::JournalArgs;

/// What the checks say, the worst of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum OutcomeChoice {
    /// The claim fits
    Consistent,
    /// It does not
    Inconsistent,
    /// Neither can be said
    CannotTell,
}

/// How far a submission has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum StateChoice {
    /// Stored, not opened yet
    Received,
    /// Opened, or found not to open
    Measured,
    /// Set against its claim
    Checked,
    /// Put aside
    Held,
    /// Found fit
    Cleared,
    /// Shown
    Used,
    /// Taken back by its sender
    Withdrawn,
}

/// `quietarc desk list`
#[derive(Debug, Args)]
pub struct DeskListArgs {
    /// Only those in this state [default: all but those withdrawn]
    #[arg(long, value_enum)]
    pub state: Option<StateChoice>,
    /// Only those whose checks say this
    #[arg(long, value_enum)]
    pub verdict: Option<OutcomeChoice>,
    /// Only those whose aurora looks like this ("rays", "a band", "a band with rays", "patches", "a veil")
    #[arg(long, value_name = "FORM")]
    pub form: Option<String>,
    /// Only those said to be taken from then on
    #[arg(long, value_name = "TIME")]
    pub claimed_from: Option<Timestamp>,
    /// Only those said to be taken before then
    #[arg(long, value_name = "TIME")]
    pub claimed_to: Option<Timestamp>,
    /// Only those said to be taken around the place of this one
    #[arg(long, value_name = "NUMBER")]
    pub near: Option<i64>,
    /// How far around it, km
    #[arg(long, value_name = "KM", requires = "near", default_value_t = 100.0)]
    pub within_km: f64,
    /// Only those with these letters in file name, place, caption or credit
    #[arg(long, default_value = "")]
    pub text: String,
    /// Lines at most
    #[arg(long, default_value_t = 100)]
    pub most: u32,
    /// The list as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc desk show`
#[derive(Debug, Args)]
pub struct DeskShowArgs {
    /// Its number, as the list gives it
    #[arg(value_name = "NUMBER")]
    pub number: i64,
    /// Show the claimed place as exactly as it was given
    #[arg(long)]
    pub exact_place: bool,
    /// All of it as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}
