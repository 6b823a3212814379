//! `quietarc tell`

mod account;
mod clip;
mod eye;
mod stack;
mod still;

use clap::{Args, Subcommand};

pub use account::TellAccountArgs;
pub use clip::{ClipArgs, ClipCodecChoice, ClipSizeChoice};
pub use eye::TellEyeArgs;
pub use stack::StackArgs;
pub use still::{PrecisionChoice, ShapeChoice, SheetChoice, TellStillArgs};

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
    /// A frame with its sky named, a keogram or a map as a still for air or page
    Still(Box<TellStillArgs>),
    /// A time-lapse of a sequence, with every edit in its caption
    Clip(Box<ClipArgs>),
    /// Frames laid star on star with the ground kept, or star trails
    Stack(Box<StackArgs>),
    /// The night in plain words, each number with its source
    Account(TellAccountArgs),
}
