//! `quietarc sort`

use std::path::PathBuf;

use clap::Args;

use super::{JournalArgs, PlaceArgs};

/// `quietarc sort`
#[derive(Debug, Args)]
#[command(
    after_help = "Pictures are opened to be read, never written. What is measured is kept in the journal: a second run takes seconds, and a run that was stopped goes on where it was.\n\nExamples:\n  quietarc sort ~/Pictures/2026-03-14\n  quietarc sort --site 'Skerrow Bay' --clock '+37s' --ratings ~/Pictures/2026-03-14\n  quietarc sort --clock 'D850=-1h' --csv frames.csv --copy-to ~/Pictures/best ~/Pictures/2026-03-14"
)]
#[expect(clippy::struct_excessive_bools, reason = "each is a flag of the command line")]
pub struct SortArgs {
    /// The folder of the night's frames, with the folders in it
    #[arg(value_name = "FOLDER")]
    pub folder: PathBuf,
    /// Where they were taken: a site of the journal, by name [default: what the files say]
    #[arg(long, conflicts_with_all = ["lat", "lon"])]
    pub site: Option<String>,
    /// The same by coordinates
    #[command(flatten)]
    pub place: PlaceArgs,
    /// IANA zone of cameras that name none [default: that of the site, else that of the other cameras]
    #[arg(long, value_name = "ZONE")]
    pub time_zone: Option<String>,
    /// A kit of the journal, by name: for a lens that tells the camera nothing
    #[arg(long)]
    pub kit: Option<String>,
    /// Correction of the camera's clock, as +37s, -1h, or CAMERA=+37s for one of several; "stars" takes what the stars say. May be given again
    #[arg(long, value_name = "CORRECTION", allow_hyphen_values = true)]
    pub clock: Vec<String>,
    /// Keepers at most [default: a tenth of the good frames, 12 to 60]
    #[arg(long, value_name = "NUMBER")]
    pub keep: Option<u32>,
    /// Write ratings into XMP sidecars beside the pictures; a rating of your own is never overwritten
    #[arg(long)]
    pub ratings: bool,
    /// Overwrite your own ratings too
    #[arg(long, requires = "ratings")]
    pub overwrite_ratings: bool,
    /// Copy the keepers into a folder
    #[arg(long, value_name = "FOLDER", conflicts_with = "link_to")]
    pub copy_to: Option<PathBuf>,
    /// Link the keepers into a folder of the same disk
    #[arg(long, value_name = "FOLDER")]
    pub link_to: Option<PathBuf>,
    /// Measure raw pictures themselves, not the finished ones inside or beside them; slower
    #[arg(long)]
    pub full_raw: bool,
    /// Save all measures as a table
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,
    /// Save all measures as Parquet
    #[arg(long, value_name = "FILE")]
    pub parquet: Option<PathBuf>,
    /// Workers [default: one a processor]
    #[arg(long, value_name = "NUMBER")]
    pub workers: Option<usize>,
    /// The report as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}
