//! `quietarc tell clip`

use std::path::PathBuf;

use clap::{Args, ValueEnum};

/// `quietarc tell clip`
#[derive(Debug, Args)]
#[command(
    after_help = "Frames are opened to be read, never written. The clip is packed by ffmpeg, which must be installed. A run that was stopped goes on when the same command is given again. The caption, with every edit in it, is printed, stands beside the clip as .txt, and is in its head.\n\nExamples:\n  quietarc tell clip --out night.mp4 ~/Pictures/2026-03-14\n  quietarc tell clip --out night.mp4 --even-exposure --clock --credit 'Photo: Ida Berg' --place 'near Skerrow Bay' ~/Pictures/2026-03-14\n  quietarc tell clip --out phone.mp4 --portrait --codec av1 --fps 30 ~/Pictures/2026-03-14"
)]
#[expect(clippy::struct_excessive_bools, reason = "flags of a command line")]
pub struct ClipArgs {
    /// A folder of frames, or the frames themselves
    #[arg(required = true, value_name = "FOLDER|FILE")]
    pub inputs: Vec<PathBuf>,
    /// Where the clip goes (.mp4)
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Write over a clip of this name
    #[arg(long)]
    pub replace: bool,
    /// How it is packed
    #[arg(long, value_enum, default_value = "h264")]
    pub codec: ClipCodecChoice,
    /// Frames a second
    #[arg(long, default_value_t = 25.0, allow_negative_numbers = true)]
    pub fps: f64,
    /// Lines of the clip, or the frames' own size
    #[arg(long, value_enum, default_value = "1080")]
    pub size: ClipSizeChoice,
    /// Upright, 9 to 16
    #[arg(long)]
    pub portrait: bool,
    /// The whole frame with black bars, instead of its middle
    #[arg(long)]
    pub whole_frame: bool,
    /// Write the time of each frame into a corner
    #[arg(long)]
    pub clock: bool,
    /// Even exposure changes out by the measured background
    #[arg(long)]
    pub even_exposure: bool,
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

/// How a clip is packed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ClipCodecChoice {
    /// Plays everywhere.
    H264,
    /// Half the size, for newer players.
    Av1,
}

/// How large a clip is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ClipSizeChoice {
    /// 1920 by 1080.
    #[value(name = "1080")]
    Lines1080,
    /// 3840 by 2160.
    #[value(name = "2160")]
    Lines2160,
    /// As large as the frames.
    Source,
}
