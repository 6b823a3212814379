//! `quietarc desk edit`, `rundown` and `know`

use std::path::PathBuf;

use clap::{Args, Subcommand};

use crate::cli::JournalArgs;

/// `quietarc desk edit`
#[derive(Debug, Args)]
#[command(
    after_help = "What is not given stays as it is; an empty text takes a word out. Another time or place makes the checks void: they are made again.\n\nExample:\n  quietarc desk edit 12 --claim-time 2026-03-14T22:40:00Z --caption 'Rays over the harbour' --by Ada"
)]
pub struct DeskEditArgs {
    /// The submission's number
    #[arg(value_name = "NUMBER")]
    pub number: i64,
    /// When it was taken: an instant (UTC, or with an offset), or words
    #[arg(long, value_name = "TIME")]
    pub claim_time: Option<String>,
    /// Where, in words
    #[arg(long, value_name = "WORDS")]
    pub claim_place: Option<String>,
    /// The same by coordinates: latitude, degrees, north positive
    #[arg(long, value_name = "DEGREES", requires = "claim_lon", allow_negative_numbers = true)]
    pub claim_lat: Option<f64>,
    /// Longitude, degrees, east positive
    #[arg(long, value_name = "DEGREES", requires = "claim_lat", allow_negative_numbers = true)]
    pub claim_lon: Option<f64>,
    /// Whom to name
    #[arg(long, value_name = "NAME")]
    pub credit: Option<String>,
    /// How to reach the sender
    #[arg(long, value_name = "WORDS")]
    pub contact: Option<String>,
    /// What it shows
    #[arg(long, value_name = "WORDS")]
    pub caption: Option<String>,
    /// Notes of the desk
    #[arg(long, value_name = "WORDS")]
    pub notes: Option<String>,
    /// The version that was seen, as `show --json` gives it: refused where somebody has changed it since [default: whatever stands there]
    #[arg(long, value_name = "NUMBER")]
    pub seen_version: Option<i64>,
    /// Who writes
    #[arg(long, value_name = "NAME", default_value = "desk")]
    pub by: String,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc desk rundown`
#[derive(Debug, Args)]
#[command(
    after_help = "Only pictures with a recorded permission for air come in.\n\nExamples:\n  quietarc desk rundown\n  quietarc desk rundown add 12 15\n  quietarc desk rundown move 15 1\n  quietarc desk rundown remove 12"
)]
pub struct DeskRundownArgs {
    /// What to do with it [default: list it].
    #[command(subcommand)]
    pub action: Option<RundownAction>,
    /// Who changes it
    #[arg(long, value_name = "NAME", default_value = "desk", global = true)]
    pub by: String,
    /// The order as JSON
    #[arg(long, global = true)]
    pub json: bool,
    /// The journal's file [default: quietarc/journal.sqlite in the data folder of this account]
    #[arg(long, value_name = "FILE", env = "QUIETARC_JOURNAL", global = true)]
    pub journal: Option<PathBuf>,
}

/// What to do with the order for air.
#[derive(Debug, Subcommand)]
pub enum RundownAction {
    /// Put submissions at the end
    Add {
        /// Their numbers
        #[arg(value_name = "NUMBER", required = true)]
        numbers: Vec<i64>,
    },
    /// Take submissions out
    Remove {
        /// Their numbers
        #[arg(value_name = "NUMBER", required = true)]
        numbers: Vec<i64>,
    },
    /// Move one to a place
    Move {
        /// Its number
        #[arg(value_name = "NUMBER")]
        number: i64,
        /// Its place, from 1
        #[arg(value_name = "PLACE")]
        place: usize,
    },
}

/// `quietarc desk know`
#[derive(Debug, Args)]
#[command(
    after_help = "Frames are opened to be read, never written; 6 kB of each is kept, without a place or a time. Viewers' pictures that were measured before are not compared again.\n\nExample:\n  quietarc desk know ~/night --outing 3"
)]
pub struct DeskKnowArgs {
    /// Frames, or folders of them
    #[arg(value_name = "PATH", required = true)]
    pub paths: Vec<PathBuf>,
    /// Number of the outing that they are of
    #[arg(long, value_name = "NUMBER")]
    pub outing: Option<i64>,
    /// What became of them as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}
