//! Arguments of `quietarc feeds`.

use std::path::PathBuf;

use clap::{Args, Subcommand};
use jiff::Timestamp;

use super::JournalArgs;

/// `quietarc feeds`
#[derive(Debug, Args)]
pub struct FeedsArgs {
    /// What to do with the feeds.
    #[command(subcommand)]
    pub action: FeedsAction,
}

/// What to do with the feeds.
#[derive(Debug, Subcommand)]
pub enum FeedsAction {
    /// Ask the publishers for what is new, or load stored bodies from a folder
    Pull(FeedsPullArgs),
    /// How old is what is stored, and what stands in the way of newer?
    Status(FeedsStatusArgs),
    /// Who publishes what, where, and under which licence?
    Sources(FeedsSourcesArgs),
}

/// `quietarc feeds pull`
#[derive(Debug, Args)]
#[command(
    after_help = "Only weather services are told a place, cut to two decimals (about 1 km). No service is asked again before its time.\n\nExamples:\n  quietarc feeds pull\n  quietarc feeds pull gfz_kp metno_locationforecast --lat 69.3 --lon 16.0\n  quietarc feeds pull --from usb/feeds     (files named noaa_kp_3h.json, gfz_kp.txt, ...)"
)]
pub struct FeedsPullArgs {
    /// Feeds by name [default: all that can be asked; see quietarc feeds sources]
    #[arg(value_name = "FEED")]
    pub feeds: Vec<String>,
    /// Latitude for the weather, degrees, north positive
    #[arg(long, allow_negative_numbers = true, requires = "lon")]
    pub lat: Option<f64>,
    /// Longitude for the weather, degrees, east positive
    #[arg(long, allow_negative_numbers = true, requires = "lat")]
    pub lon: Option<f64>,
    /// A site of the journal, by name (instead of --lat and --lon)
    #[arg(long, conflicts_with_all = ["lat", "lon"])]
    pub site: Option<String>,
    /// Weather for every site of the journal
    #[arg(long, conflicts_with_all = ["lat", "lon", "site", "from"])]
    pub everywhere: bool,
    /// Airfields whose reports are wanted, by their four letters
    #[arg(long = "station", value_name = "ICAO", value_delimiter = ',')]
    pub stations: Vec<String>,
    /// Load stored bodies from this folder instead of asking; each file is named by its feed
    #[arg(long, value_name = "FOLDER")]
    pub from: Option<PathBuf>,
    /// The report as JSON
    #[arg(long)]
    pub json: bool,
    /// The settings
    #[command(flatten)]
    pub settings: FeedSettingsArgs,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc feeds status`
#[derive(Debug, Args)]
pub struct FeedsStatusArgs {
    /// The moment from which ages are counted [default: now]
    #[arg(long)]
    pub asked_at: Option<Timestamp>,
    /// The report as JSON
    #[arg(long)]
    pub json: bool,
    /// The settings
    #[command(flatten)]
    pub settings: FeedSettingsArgs,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc feeds sources`
#[derive(Debug, Args)]
pub struct FeedsSourcesArgs {
    /// The report as JSON
    #[arg(long)]
    pub json: bool,
    /// The settings
    #[command(flatten)]
    pub settings: FeedSettingsArgs,
}

/// Where the settings are.
#[derive(Debug, Clone, Args)]
pub struct FeedSettingsArgs {
    /// Settings: contact, stations, other addresses [default: quietarc/settings.toml in the configuration folder of this account, if it is there]
    #[arg(long, value_name = "FILE", env = "QUIETARC_SETTINGS")]
    pub settings: Option<PathBuf>,
}
