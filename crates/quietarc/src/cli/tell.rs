//! `quietarc tell`

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};
use jiff::Timestamp;

use super::{JournalArgs, PlaceArgs};

/// `quietarc tell`
#[derive(Debug, Args)]
pub struct TellArgs {
    /// What to make
    #[command(subcommand)]
    pub action: TellAction,
}

/// What can be told.
#[derive(Debug, Subcommand)]
pub enum TellAction {
    /// A frame as a dark-adapted person saw it, beside the camera's view
    Eye(Box<TellEyeArgs>),
    /// A frame as a still with its sky named and its caption, for air or page
    Still(Box<TellStillArgs>),
}

/// `quietarc tell eye`
#[derive(Debug, Args)]
#[command(
    after_help = "Files are opened to be read, never written. The view is a simulation: see docs/eye-view.md.\n\nExamples:\n  quietarc tell eye IMG_0412.JPG\n  quietarc tell eye --minutes 10 --out eye.png --beside beside.png IMG_0412.JPG"
)]
pub struct TellEyeArgs {
    /// Pictures: JPEG, TIFF, PNG, DNG, HEIC, FITS and others (docs/frames.md)
    #[arg(required = true, value_name = "FRAME")]
    pub files: Vec<PathBuf>,
    /// Minutes that the person had been without white light
    #[arg(long, default_value_t = 30.0, allow_negative_numbers = true)]
    pub minutes: f64,
    /// Contrast needed over the laboratory's: 1.4 trained, 2 typical, 2.4 hurried
    #[arg(long, default_value_t = 2.0, allow_negative_numbers = true)]
    pub field_factor: f64,
    /// Longest side of the pictures, px
    #[arg(long, default_value_t = 1200, value_name = "PX")]
    pub size: u32,
    /// Save the eye view of one frame (.png)
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Save camera and eye of one frame side by side, with the caption (.svg or .png)
    #[arg(long, value_name = "FILE")]
    pub beside: Option<PathBuf>,
    /// A kit of the journal, by name: for a lens that tells the camera nothing
    #[arg(long)]
    pub kit: Option<String>,
    /// Where they were taken: a site of the journal, by name [default: what the file says]
    #[arg(long, conflicts_with_all = ["lat", "lon"])]
    pub site: Option<String>,
    /// The same by coordinates
    #[command(flatten)]
    pub place: PlaceArgs,
    /// When they were taken, UTC [default: what the file says]
    #[arg(long)]
    pub at: Option<Timestamp>,
    /// Reports as JSON, one a line
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// Proportions of a still.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ShapeChoice {
    /// 16:9
    #[value(name = "16:9")]
    Wide,
    /// 9:16
    #[value(name = "9:16")]
    Tall,
}

/// How exactly the coordinates are said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PrecisionChoice {
    /// Not at all
    Hidden,
    /// Whole degrees, some 100 km
    Degree,
    /// Tenths of a degree, some 10 km
    Tenth,
}

/// `quietarc tell still`
#[derive(Debug, Args)]
#[command(
    after_help = "The frame is opened to be read, never written.\n\nExamples:\n  quietarc tell still --place 'Northern Norway' --credit 'A. Person' --out still.png IMG_0412.JPG\n  quietarc tell still --shape 9:16 --lines 2160 --overlay --out words.png IMG_0412.JPG"
)]
pub struct TellStillArgs {
    /// The picture
    #[arg(value_name = "FRAME")]
    pub file: PathBuf,
    /// Where to save the still (.png or .svg)
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Proportions
    #[arg(long, value_enum, default_value = "16:9")]
    pub shape: ShapeChoice,
    /// 1080 or 2160 lines; columns of an upright one
    #[arg(long, default_value_t = 1080)]
    pub lines: u32,
    /// Words alone on a transparent ground, to be laid over something else
    #[arg(long)]
    pub overlay: bool,
    /// Draw the safe areas of EBU R 95 and SMPTE ST 2046-1: for looking, not for air
    #[arg(long)]
    pub safe_areas: bool,
    /// Name nothing on the sky
    #[arg(long)]
    pub plain: bool,
    /// What the place is called in the caption [default: not named]
    #[arg(long, value_name = "TEXT")]
    pub place: Option<String>,
    /// How exactly the coordinates are said
    #[arg(long, value_enum, default_value = "hidden")]
    pub place_precision: PrecisionChoice,
    /// Whom to credit
    #[arg(long, value_name = "TEXT")]
    pub credit: Option<String>,
    /// IANA time zone of the time said [default: the site's, else UTC]
    #[arg(long)]
    pub time_zone: Option<String>,
    /// A kit of the journal, by name
    #[arg(long)]
    pub kit: Option<String>,
    /// Where it was taken: a site of the journal, by name [default: what the file says]
    #[arg(long, conflicts_with_all = ["lat", "lon"])]
    pub site: Option<String>,
    /// The same by coordinates
    #[command(flatten)]
    pub coordinates: PlaceArgs,
    /// When it was taken, UTC [default: what the file says]
    #[arg(long)]
    pub at: Option<Timestamp>,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}
