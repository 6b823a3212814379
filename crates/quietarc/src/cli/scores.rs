//! Arguments of `quietarc scores`.

use std::path::PathBuf;

use clap::Args;

use super::JournalArgs;

/// `quietarc scores`
#[derive(Debug, Args)]
#[command(after_help = "quietarc outlook --save TITLE keeps what was said, quietarc outing saw NUMBER what was met.")]
pub struct ScoresArgs {
    /// Save the reliability diagram (.svg or .png)
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
    /// The report as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}
