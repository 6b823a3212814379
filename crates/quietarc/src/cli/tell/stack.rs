//! `quietarc tell stack`

use std::path::PathBuf;

use clap::Args;

/// `quietarc tell stack`
#[derive(Debug, Args)]
#[expect(clippy::struct_excessive_bools, reason = "each is a flag of the command line")]
#[command(
    after_help = "Frames are opened to be read, never written. What was done stands in the caption, which is printed, stands beside the stack as .txt, and is in its head.\n\nExamples:\n  quietarc tell stack --out sky.jpg ~/Pictures/2026-03-14\n  quietarc tell stack --out sky.tif --credit 'Photo: Ida Berg' --place 'near Skerrow Bay' IMG_04*.JPG\n  quietarc tell stack --brightest --out trails.jpg ~/Pictures/2026-03-14"
)]
pub struct StackArgs {
    /// A folder of frames, or the frames themselves
    #[arg(required = true, value_name = "FOLDER|FILE")]
    pub inputs: Vec<PathBuf>,
    /// Where the stack goes (.png, .jpg, or .tif with 16 bits)
    #[arg(long, short = 'o', value_name = "FILE")]
    pub out: PathBuf,
    /// Write over a picture of this name
    #[arg(long)]
    pub replace: bool,
    /// Of every pixel the brightest frame, without aligning: star trails
    #[arg(long)]
    pub brightest: bool,
    /// With --brightest: the sky laid star on star first, so that meteors come together
    #[arg(long, requires = "brightest")]
    pub aligned: bool,
    /// Deviations from which a value is left out of a pixel's mean
    #[arg(long, default_value_t = 3.0, allow_negative_numbers = true, value_name = "COUNT")]
    pub sigmas: f64,
    /// Longest side of the stack, px [default: the frames' own]
    #[arg(long, value_name = "PX")]
    pub size_px: Option<u32>,
    /// Whom to name
    #[arg(long)]
    pub credit: Option<String>,
    /// Where it was taken, in your words and as coarse as you wish
    #[arg(long)]
    pub place: Option<String>,
    /// How far the camera's clock is ahead of UTC, hours, for cameras that do not say
    #[arg(long, value_name = "HOURS", allow_negative_numbers = true)]
    pub utc_offset: Option<f64>,
    /// Frames opened at once [default: one a processor]
    #[arg(long, value_name = "COUNT")]
    pub workers: Option<usize>,
    /// The report as JSON
    #[arg(long)]
    pub json: bool,
}
