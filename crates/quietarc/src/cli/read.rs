//! `quietarc read`

use std::path::PathBuf;

use clap::Args;
use jiff::Timestamp;

use super::{FeedSettingsArgs, JournalArgs, PlaceArgs};

/// `quietarc read`
#[derive(Debug, Args)]
#[command(
    after_help = "Files are opened to be read, never written. Light is counted in kilorayleighs where stars or settings calibrate it, with their error; otherwise at the settings of the first frame.\n\nExamples:\n  quietarc read --site 'Skerrow Bay' --keogram night.png ~/Pictures/2026-03-14\n  quietarc read --magnetogram tro20260314.min --csv light.csv 20260314_2000_full.pgm.gz 20260314_2001_full.pgm.gz\n  quietarc read --lat 69.2 --lon 15.1 --start 2026-03-14T20:00:00Z aurora.mp4"
)]
pub struct ReadArgs {
    /// A folder of pictures, or files: pictures, PGM sequences (packed or not), FITS, a video
    #[arg(required = true, value_name = "FOLDER|FILE")]
    pub inputs: Vec<PathBuf>,
    /// Where the camera stood: a site of the journal, by name [default: what the files say]
    #[arg(long, conflicts_with_all = ["lat", "lon"])]
    pub site: Option<String>,
    /// The same by coordinates
    #[command(flatten)]
    pub place: PlaceArgs,
    /// A kit of the journal whose lens is known
    #[arg(long)]
    pub kit: Option<String>,
    /// The frames are all-sky pictures that look straight up: directions from their circle where stars do not tell them
    #[arg(long)]
    pub all_sky: bool,
    /// Azimuth that the top of an all-sky picture shows, degrees from true north [default: by the moon in the picture]
    #[arg(long, value_name = "DEG", requires = "all_sky", allow_negative_numbers = true)]
    pub top_azimuth: Option<f64>,
    /// An all-sky picture with east on the right of north, as on a map
    #[arg(long, requires = "all_sky")]
    pub mirrored: bool,
    /// Pixel of the zenith in an all-sky picture [default: the middle of its circle]
    #[arg(long, value_name = "X,Y", requires = "all_sky", value_parser = pair)]
    pub zenith: Option<[f64; 2]>,
    /// Distance of the horizon from the zenith in an all-sky picture, pixels [default: found]
    #[arg(long, value_name = "PX", requires = "all_sky")]
    pub radius: Option<f64>,
    /// Where a level camera with the kit's known lens looked, for frames without stars: azimuth and altitude, degrees
    #[arg(long, value_name = "AZ,ALT", requires = "kit", conflicts_with = "all_sky", value_parser = pair, allow_hyphen_values = true)]
    pub looking: Option<[f64; 2]>,
    /// How far the camera's clock is ahead of UTC, hours, for cameras that do not say
    #[arg(long, value_name = "HOURS", allow_negative_numbers = true)]
    pub utc_offset: Option<f64>,
    /// When a video begins, UTC [default: what it says]
    #[arg(long)]
    pub start: Option<Timestamp>,
    /// Height of the light, km
    #[arg(long, default_value_t = 110.0)]
    pub height_km: f64,
    /// One standard deviation of that height, km
    #[arg(long, default_value_t = 10.0)]
    pub height_sigma_km: f64,
    /// Azimuth of the keogram's line, degrees from true north [default: the magnetic meridian]
    #[arg(long, allow_negative_numbers = true)]
    pub azimuth: Option<f64>,
    /// Kp of the time, 0 to 9: forms are set against the oval of that activity [default: as stored feeds say]
    #[arg(long)]
    pub kp: Option<f64>,
    /// A magnetogram of the same time: IAGA-2002, or JSON of the US Geological Survey
    #[arg(long, value_name = "FILE")]
    pub magnetogram: Option<PathBuf>,
    /// Save the keogram (.svg or .png)
    #[arg(long, value_name = "FILE")]
    pub keogram: Option<PathBuf>,
    /// Save the ewogram, across the magnetic meridian (.svg or .png)
    #[arg(long, value_name = "FILE")]
    pub ewogram: Option<PathBuf>,
    /// Save light against time as a table
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,
    /// Save the keogram's light at every time and place as a table (.csv or .parquet)
    #[arg(long, value_name = "FILE")]
    pub table: Option<PathBuf>,
    /// Save the mean spectra of the sky, block by block, as a table (.csv or .parquet)
    #[arg(long, value_name = "FILE")]
    pub spectra: Option<PathBuf>,
    /// Save the period map, each cell of sky that pulsates, as a table (.csv or .parquet)
    #[arg(long, value_name = "FILE")]
    pub periods: Option<PathBuf>,
    /// Keep the report with an outing: its number, or its title where only one has it
    #[arg(long, value_name = "OUTING")]
    pub save: Option<String>,
    /// The report as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
    /// The settings of feeds
    #[command(flatten)]
    pub settings: FeedSettingsArgs,
}

/// Two numbers with a comma between.
fn pair(words: &str) -> Result<[f64; 2], String> {
    let two = words.split_once(',').and_then(|(a, b)| Some([a.trim().parse().ok()?, b.trim().parse().ok()?]));
    two.ok_or_else(|| format!("{words:?} is not two numbers with a comma between"))
}
