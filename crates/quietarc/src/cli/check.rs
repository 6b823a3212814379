//! `quietarc check`

use std::path::PathBuf;

use clap::Args;
use jiff::Timestamp;

use super::{JournalArgs, PlaceArgs};

/// `quietarc check`
#[derive(Debug, Args)]
#[command(
    after_help = "Files are opened to be read, never written.\n\nExamples:\n  quietarc check IMG_0412.JPG\n  quietarc check --kit 'Full frame, 20 mm' --overlay found.png IMG_0412.JPG\n  quietarc check --crops sharpest-softest.png IMG_0412.JPG\n  quietarc check --kit 'Full frame, 20 mm' --save-lens IMG_0412.JPG\n  quietarc check --json *.JPG > checked.jsonl"
)]
#[expect(clippy::struct_excessive_bools, reason = "each is a flag of its own")]
pub struct CheckArgs {
    /// Pictures: JPEG, TIFF, PNG, DNG, HEIC, FITS and others (docs/frames.md)
    #[arg(required_unless_present = "watch", value_name = "FILE")]
    pub files: Vec<PathBuf>,
    /// Look at a folder until stopped, and check every new picture in it
    #[arg(long, value_name = "FOLDER", conflicts_with_all = ["files", "stars_csv", "overlay", "crops"])]
    pub watch: Option<PathBuf>,
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
    /// Width of the sharpest stars known of this lens (half-flux diameter), px [default: what the kit keeps]
    #[arg(long, value_name = "PX", allow_negative_numbers = true)]
    pub sharpest: Option<f64>,
    /// The files are a focus series, the ring a little further each time: say where the stars are narrowest
    #[arg(long, conflicts_with = "watch")]
    pub focus_series: bool,
    /// Places of the ring in a focus series, one a file [default: even steps: 1, 2, 3 ...]
    #[arg(
        long,
        value_name = "PLACE,...",
        value_delimiter = ',',
        allow_negative_numbers = true,
        requires = "focus_series"
    )]
    pub ring: Vec<f64>,
    /// Save the stars of one picture as a table
    #[arg(long, value_name = "FILE")]
    pub stars_csv: Option<PathBuf>,
    /// Save one picture in small with what was found (.svg or .png)
    #[arg(long, value_name = "FILE")]
    pub overlay: Option<PathBuf>,
    /// Save the sharpest and the softest part of one picture side by side, pixel for pixel (.png)
    #[arg(long, value_name = "FILE")]
    pub crops: Option<PathBuf>,
    /// Keep the lens that the stars of one picture show in the kit: later frames then need fewer stars
    #[arg(long, requires = "kit", conflicts_with = "watch")]
    pub save_lens: bool,
    /// Keep the width of one sharp picture's stars in the kit: later checks with it say how much wider theirs are
    #[arg(long, requires = "kit", conflicts_with = "watch")]
    pub save_sharpest: bool,
    /// Reports as JSON, one a line
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}
