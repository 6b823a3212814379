//! `quietarc tell eye`

use std::path::PathBuf;

use clap::Args;
use jiff::Timestamp;

use crate::cli::{JournalArgs, PlaceArgs};

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
