//! `quietarc tell`

mod account;
mod clip;
mod eye;

use clap::{Args, Subcommand};

pub use account::TellAccountArgs;
pub use clip::{ClipArgs, ClipCodecChoice, ClipSizeChoice};
pub use eye::TellEyeArgs;

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
    /// A frame as a dark-adapted person saw it, beside the camera's view
    Eye(Box<TellEyeArgs>),
    /// A time-lapse of a sequence, with every edit in its caption
    Clip(Box<ClipArgs>),
    /// The night in plain words, each number with its source
    Account(TellAccountArgs),
}
