//! `quietarc desk check`

use std::path::PathBuf;

use clap::Args;
use jiff::Timestamp;

use crate::cli::{FeedSettingsArgs, JournalArgs};

/// `quietarc desk check`
#[derive(Debug, Args)]
#[command(
    after_help = "Files are opened to be read, never written; several are also compared with each other. \"Consistent\" never means \"taken at\".\n\nExamples:\n  quietarc desk check --claim-time 2026-03-14T22:40Z --claim-lat 69.3 --claim-lon 16.0 --kp 5 sent.jpg\n  quietarc desk check --claim-time 2026-03-14T22:40Z --claim-lat 69.3 --claim-lon 16.0 --horizon 0,812,1199,805 sent.jpg\n  quietarc desk check --json *.jpg > checked.jsonl"
)]
pub struct DeskCheckArgs {
    /// Pictures: JPEG, PNG, HEIC, TIFF and others (docs/frames.md)
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,
    /// When the sender says that it was taken: UTC, or with an offset as 2026-03-14T23:40+01:00 [default: what the file says]
    #[arg(long, value_name = "TIME", value_parser = instant)]
    pub claim_time: Option<Timestamp>,
    /// How exactly that is meant, minutes either way
    #[arg(long, value_name = "MINUTES", default_value_t = 30.0, allow_negative_numbers = true)]
    pub within_minutes: f64,
    /// Where the sender says that it was taken: latitude, degrees, north positive [default: what the file says]
    #[arg(long, value_name = "DEGREES", requires = "claim_lon", allow_negative_numbers = true)]
    pub claim_lat: Option<f64>,
    /// Longitude, degrees, east positive
    #[arg(long, value_name = "DEGREES", requires = "claim_lat", allow_negative_numbers = true)]
    pub claim_lon: Option<f64>,
    /// How exactly the place is meant, km either way
    #[arg(long, value_name = "KM", default_value_t = 25.0, allow_negative_numbers = true)]
    pub within_km: f64,
    /// Kp at the claimed time, 0 to 9 [default: what the stored feeds say of it]
    #[arg(long, conflicts_with = "kp_file", allow_negative_numbers = true)]
    pub kp: Option<f64>,
    /// Table of Kp from an agency (GFZ JSON, text, wdc or tab; NOAA JSON)
    #[arg(long, value_name = "FILE")]
    pub kp_file: Option<PathBuf>,
    /// Two places on the level horizon, px of the picture as shown, from its top left; for one picture
    #[arg(long, value_name = "X1,Y1,X2,Y2", value_delimiter = ',', num_args = 1, allow_negative_numbers = true)]
    pub horizon: Option<Vec<f64>>,
    /// How far from level the camera may be, degrees [default: 5, with --horizon 1]
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true)]
    pub level_within: Option<f64>,
    /// Reports as JSON, one a line
    #[arg(long)]
    pub json: bool,
    /// Do not look at the stored feeds for Kp
    #[arg(long)]
    pub no_feeds: bool,
    /// The settings
    #[command(flatten)]
    pub settings: FeedSettingsArgs,
    /// The journal with the stored feeds
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// An instant, with or without seconds.
fn instant(text: &str) -> Result<Timestamp, String> {
    text.parse().map_err(|_cause| format!("{text:?} is no time; give UTC as 2026-03-14T22:40Z, or with an offset"))
}
