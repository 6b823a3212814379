//! `quietarc tell still`

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use jiff::Timestamp;

use crate::cli::{JournalArgs, PlaceArgs};

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

/// What is drawn of a night instead of a frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SheetChoice {
    /// The sky along one line against time
    Keogram,
    /// A map with the lines of sight to the light
    Map,
}

/// `quietarc tell still`
#[derive(Debug, Args)]
#[command(
    after_help = "The frame is opened to be read, never written.\n\nExamples:\n  quietarc tell still --place 'Northern Norway' --credit 'A. Person' --out still.png IMG_0412.JPG\n  quietarc tell still --shape 9:16 --lines 2160 --overlay --out words.png IMG_0412.JPG\n  quietarc tell still --draw keogram --outing 1 --out keogram.png\n  quietarc tell still --draw map --outing 1 --place-precision degree --out map.png"
)]
pub struct TellStillArgs {
    /// The picture
    #[arg(value_name = "FRAME", required_unless_present = "draw")]
    pub file: Option<PathBuf>,
    /// Draw this of a night instead of showing a picture
    #[arg(long, value_enum, conflicts_with_all = ["file", "plain", "kit", "site", "lat", "lon"])]
    pub draw: Option<SheetChoice>,
    /// The outing it is drawn of, by its reading kept last (a map also by its outlook); of a picture, whose reading names the forms
    #[arg(long, value_name = "NUMBER")]
    pub outing: Option<i64>,
    /// The same of a reading that is not kept, as quietarc read --json printed it
    #[arg(long, value_name = "FILE")]
    pub reading: Option<PathBuf>,
    /// Where to save the still (.png, .jpg or .svg)
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
    /// When it was taken, UTC [default: what the file says]; of a map, the moment [default: the brightest]
    #[arg(long)]
    pub at: Option<Timestamp>,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}
