//! `quietarc tell`

mod account;
mod clip;

use clap::{Args, Subcommand};

pub use account::TellAccountArgs;
pub use clip::{ClipArgs, ClipCodecChoice, ClipSizeChoice};

/// `quietarc tell`
#[derive(Debug, Args)]
pub struct TellArgs {
    /// What is made
    #[command(subcommand)]
    pub action: TellAction,
}

/// The ways of telling.
#[derive(Debug, Subcommand)]
pub enum TellAction {
    /// A time-lapse of a sequence, with every edit in its caption
    Clip(Box<ClipArgs>),
    /// The night in plain words, each number with its source
    Account(TellAccountArgs),
}
