//! Arguments of `quietarc desk`.

mod check;
mod list;
mod order;

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};
use jiff::Timestamp;

pub use check::DeskCheckArgs;
pub use list::{DeskListArgs, DeskShowArgs, OutcomeChoice, StateChoice};
pub use order::{DeskEditArgs, DeskKnowArgs, DeskRundownArgs, RundownAction};

use super::{FeedSettingsArgs, JournalArgs, SiteArgs};

/// `quietarc desk`
#[derive(Debug, Args)]
pub struct DeskArgs {
    /// What to do with what viewers send.
    #[command(subcommand)]
    pub action: DeskAction,
}

/// What to do with what viewers send.
#[derive(Debug, Subcommand)]
pub enum DeskAction {
    /// Is the claimed time and place possible, is it a copy, what was done to it?
    Check(Box<DeskCheckArgs>),
    /// Take pictures in: files, or folders with the folders in them
    Take(Box<DeskTakeArgs>),
    /// What is here, the newest first
    List(DeskListArgs),
    /// One submission with its checks, permission and changes
    Show(DeskShowArgs),
    /// Write down when, where, who and what, where the desk knows better
    Edit(Box<DeskEditArgs>),
    /// Record what its sender permits, in the sender's words
    Consent(DeskConsentArgs),
    /// The order for air: list it, or put in, take out and move
    Rundown(DeskRundownArgs),
    /// Let copies out, without the sender's metadata, with credit; nothing leaves without recorded permission
    Export(DeskExportArgs),
    /// Its sender takes it back: it leaves no more
    Withdraw(DeskWithdrawArgs),
    /// Remember what own frames look like, so that copies of them are found among what viewers send
    Know(DeskKnowArgs),
    /// Links by which viewers send
    Link(DeskLinkArgs),
    /// One page for viewers: tonight's settings, and how to send
    Card(Box<DeskCardArgs>),
}

/// `quietarc desk take`
#[derive(Debug, Args)]
#[command(
    after_help = "Pictures are told by their content, stored read-only beside the journal and never altered. Each is opened in a process of its own.\n\nExample:\n  quietarc desk take ~/inbox --claim-time 2026-03-14T22:40:00Z --claim-place 'Skerrow Bay' --claim-lat 69.3 --claim-lon 16.0 --credit 'A. Viewer'"
)]
pub struct DeskTakeArgs {
    /// Pictures, or folders of them
    #[arg(value_name = "PATH", required = true)]
    pub paths: Vec<PathBuf>,
    /// When the sender says that they were taken: an instant (UTC, or with an offset), or words
    #[arg(long, value_name = "TIME", default_value = "")]
    pub claim_time: String,
    /// Where, in the sender's words
    #[arg(long, value_name = "WORDS", default_value = "")]
    pub claim_place: String,
    /// The same by coordinates: latitude, degrees, north positive
    #[arg(long, value_name = "DEGREES", requires = "claim_lon", allow_negative_numbers = true)]
    pub claim_lat: Option<f64>,
    /// Longitude, degrees, east positive
    #[arg(long, value_name = "DEGREES", requires = "claim_lat", allow_negative_numbers = true)]
    pub claim_lon: Option<f64>,
    /// Whom to name
    #[arg(long, value_name = "NAME", default_value = "")]
    pub credit: String,
    /// How to reach the sender
    #[arg(long, value_name = "WORDS", default_value = "")]
    pub contact: String,
    /// What they show, in the sender's words
    #[arg(long, value_name = "WORDS", default_value = "")]
    pub caption: String,
    /// Leave the measuring to a running server, or to the next take
    #[arg(long)]
    pub no_measure: bool,
    /// What became of them as JSON
    #[arg(long)]
    pub json: bool,
    /// The settings of feeds: Kp of the claimed time is looked up in what is stored
    #[command(flatten)]
    pub settings: FeedSettingsArgs,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// A use that a sender may permit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum UseChoice {
    /// In a broadcast
    OnAir,
    /// On the station's pages
    Online,
    /// Kept for later programmes
    Archive,
}

/// `quietarc desk consent`
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  quietarc desk consent 12 --use on-air,online --credit 'A. Viewer' --words 'By telephone: yes, show it tonight and on the page'"
)]
pub struct DeskConsentArgs {
    /// The submission's number
    #[arg(value_name = "NUMBER")]
    pub number: i64,
    /// What is permitted; none at all records a refusal
    #[arg(long = "use", value_enum, value_delimiter = ',')]
    pub uses: Vec<UseChoice>,
    /// Whom to name
    #[arg(long, value_name = "NAME")]
    pub credit: Option<String>,
    /// What the sender said
    #[arg(long)]
    pub words: String,
    /// The version that was seen, as `show --json` gives it: refused where somebody has changed it since [default: whatever stands there]
    #[arg(long, value_name = "NUMBER")]
    pub seen_version: Option<i64>,
    /// Who records it
    #[arg(long, value_name = "NAME", default_value = "desk")]
    pub by: String,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// How much of the place goes with a copy.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub enum PlaceShownChoice {
    /// None of it
    #[default]
    Nothing,
    /// The sender's words
    Words,
    /// Latitude and longitude in whole degrees
    Degrees,
}

/// `quietarc desk export`
#[derive(Debug, Args)]
#[command(
    after_help = "A copy has the pixels of the original and no metadata; credit and caption stand in a text file beside it. That it left is put down, and told if its sender withdraws it later.\n\nExample:\n  quietarc desk export 12 15 --for on-air --out ~/tonight"
)]
pub struct DeskExportArgs {
    /// The submissions' numbers, in their order
    #[arg(value_name = "NUMBER", required = true)]
    pub numbers: Vec<i64>,
    /// What they are for
    #[arg(long = "for", value_enum)]
    pub permitted_use: UseChoice,
    /// Where to
    #[arg(long, value_name = "FOLDER")]
    pub out: PathBuf,
    /// How much of the place is told
    #[arg(long, value_enum, default_value = "nothing")]
    pub place: PlaceShownChoice,
    /// Who lets them out
    #[arg(long, value_name = "NAME", default_value = "desk")]
    pub by: String,
    /// What left as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc desk withdraw`
#[derive(Debug, Args)]
pub struct DeskWithdrawArgs {
    /// The submission's number
    #[arg(value_name = "NUMBER")]
    pub number: i64,
    /// What the sender said
    #[arg(long, default_value = "withdrawn by its sender")]
    pub words: String,
    /// Also remove the picture and forget name, contact, place and words
    #[arg(long)]
    pub erase: bool,
    /// Who records it
    #[arg(long, value_name = "NAME", default_value = "desk")]
    pub by: String,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc desk link`
#[derive(Debug, Args)]
pub struct DeskLinkArgs {
    /// What to do with the links.
    #[command(subcommand)]
    pub action: DeskLinkAction,
}

/// What to do with the links.
#[derive(Debug, Subcommand)]
pub enum DeskLinkAction {
    /// Make a link; it is shown this once
    New(DeskLinkNewArgs),
    /// The links, the newest first
    List(DeskLinkListArgs),
    /// Take a link back
    Revoke(DeskLinkRevokeArgs),
}

/// `quietarc desk link new`
#[derive(Debug, Args)]
pub struct DeskLinkNewArgs {
    /// What it is for
    #[arg(long, default_value = "viewers' pictures")]
    pub label: String,
    /// IANA zone of the times that senders write
    #[arg(long, default_value = "UTC")]
    pub time_zone: String,
    /// Days that it holds
    #[arg(long, default_value_t = 2)]
    pub days: u32,
    /// Pictures that it takes at most
    #[arg(long, default_value_t = 5000)]
    pub most: u32,
    /// The link as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc desk link list`
#[derive(Debug, Args)]
pub struct DeskLinkListArgs {
    /// The list as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc desk link revoke`
#[derive(Debug, Args)]
pub struct DeskLinkRevokeArgs {
    /// Its number, as the list gives it
    #[arg(value_name = "NUMBER")]
    pub number: i64,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc desk card`
#[derive(Debug, Args)]
#[command(
    after_help = "Settings are those of quietarc expose for cameras by class.\n\nExamples:\n  quietarc desk card --brightness-kr 10 --out card.html\n  quietarc desk card --kp 5 --lat 69.3 --lon 16.0 --at 2026-03-14T22:00:00Z --link https://news.example/send/... --out card.html"
)]
pub struct DeskCardArgs {
    /// Heading of the card
    #[arg(long, default_value = "Photograph the aurora tonight")]
    pub title: String,
    /// Green light expected in the brightest part, 557.7 nm, kR
    #[arg(long, conflicts_with = "kp")]
    pub brightness_kr: Option<f64>,
    /// Kp expected, 0 to 9; with a place the brightness is worked out
    #[arg(long)]
    pub kp: Option<f64>,
    /// Where
    #[command(flatten)]
    pub site: SiteArgs,
    /// The instant, UTC [default: now]
    #[arg(long)]
    pub at: Option<Timestamp>,
    /// Whole address of a link by which viewers send
    #[arg(long, value_name = "ADDRESS")]
    pub link: Option<String>,
    /// Where to write it
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}
