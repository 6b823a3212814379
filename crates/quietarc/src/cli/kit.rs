//! Arguments of `quietarc kit`.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

use super::JournalArgs;

/// `quietarc kit`
#[derive(Debug, Args)]
pub struct KitsArgs {
    /// What to do with the kits.
    #[command(subcommand)]
    pub action: KitsAction,
}

/// What to do with the kits.
#[derive(Debug, Subcommand)]
pub enum KitsAction {
    /// Keep a camera with a lens
    Add(Box<KitAddArgs>),
    /// Change parts or numbers of a kit; the rest stays
    Change(Box<KitChangeArgs>),
    /// Which kits are kept?
    List(KitListArgs),
    /// The numbers of a kit
    Show(KitShowArgs),
    /// Forget a kit; refused while an outing uses it
    Remove(KitRemoveArgs),
    /// Cameras and lenses by class, to begin with
    Starters(StartersArgs),
    /// Gain and read noise from your own flats and biases
    Measure(KitMeasureArgs),
}

/// `quietarc kit measure`
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  quietarc kit measure --flat F1.DNG F2.DNG --flat G1.DNG G2.DNG --flat H1.DNG H2.DNG --bias B1.DNG B2.DNG\n\nFlats: an even, steady light, no lens focused on it; two right after each other at each of three levels, about a tenth, a\nquarter and half of full scale. Biases: cap on, shortest time. All at one ISO, as raw files (uncompressed DNG) or FITS.\nThe files are only read."
)]
pub struct KitMeasureArgs {
    /// Two flats of one level of light; again for every level
    #[arg(long, value_names = ["FILE", "FILE"], num_args = 2, required = true, action = clap::ArgAction::Append)]
    pub flat: Vec<PathBuf>,
    /// Two biases: cap on, shortest time
    #[arg(long, value_names = ["FILE", "FILE"], num_args = 2, required = true)]
    pub bias: Vec<PathBuf>,
    /// The kit whose camera it is
    #[arg(long, value_name = "KIT")]
    pub name: Option<String>,
    /// Write read noise (and full well, if measured at base ISO) into the kit
    #[arg(long, requires = "name")]
    pub save: bool,
    /// The measurement as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc kit add`
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  quietarc kit add \"Full frame, 20 mm\" --sensor full-frame-24 --lens 20-1.8\n  quietarc kit add \"My phone\" --sensor phone-medium\n  quietarc kit add \"Own numbers\" --pixel-um 4.35 --width-px 8256 --height-px 5504 --focal-mm 14 --f-number 2.4\n\nquietarc kit starters lists the classes. Numbers given replace those of the class."
)]
pub struct KitAddArgs {
    /// What to call it
    #[arg(value_name = "NAME", required_unless_present = "name", conflicts_with = "name")]
    pub kit: Option<String>,
    /// The same as NAME
    #[arg(long, value_name = "NAME")]
    pub name: Option<String>,
    /// Its parts and numbers
    #[command(flatten)]
    pub facts: KitFactsArgs,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc kit change`
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  quietarc kit change \"Full frame, 20 mm\" --read-noise-e 1.5 --card-gb 64\n\nWhat is not given stays as it is; its outings stay."
)]
pub struct KitChangeArgs {
    /// The kit, by name
    pub name: String,
    /// Another name for it
    #[arg(long, value_name = "NAME")]
    pub rename: Option<String>,
    /// Its parts and numbers
    #[command(flatten)]
    pub facts: KitFactsArgs,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// Parts and numbers of a kit.
#[derive(Debug, Args)]
pub struct KitFactsArgs {
    /// Camera by its class
    #[arg(long, value_name = "CLASS")]
    pub sensor: Option<String>,
    /// Lens by its class [default with a phone: its own]
    #[arg(long, value_name = "CLASS")]
    pub lens: Option<String>,
    /// The camera's numbers
    #[command(flatten)]
    pub camera: CameraArgs,
    /// The lens's numbers
    #[command(flatten)]
    pub glass: GlassArgs,
    /// Seconds counted on for a faint aurora [default: as much light as 5 s at f/1.8]
    #[arg(long, allow_negative_numbers = true)]
    pub exposure_s: Option<f64>,
    /// ISO counted on [default: 3200]
    #[arg(long, allow_negative_numbers = true)]
    pub iso: Option<f64>,
    /// Free space on the card, GB
    #[arg(long)]
    pub card_gb: Option<f64>,
    /// Size of one stored frame, MB
    #[arg(long)]
    pub frame_mb: Option<f64>,
    /// Frames a full battery is rated for at room temperature
    #[arg(long)]
    pub battery_frames: Option<f64>,
}

/// Numbers of a camera.
#[derive(Debug, Args)]
pub struct CameraArgs {
    /// Distance between pixel centres, micrometres
    #[arg(long, allow_negative_numbers = true)]
    pub pixel_um: Option<f64>,
    /// Picture width, pixels
    #[arg(long)]
    pub width_px: Option<u32>,
    /// Picture height, pixels
    #[arg(long)]
    pub height_px: Option<u32>,
    /// Peak quantum efficiency of red, green and blue pixels, filter included, 0 to 1
    #[arg(long, value_name = "R,G,B", value_delimiter = ',')]
    pub efficiency: Option<Vec<f64>>,
    /// Read noise at the ISO used at night, electrons
    #[arg(long)]
    pub read_noise_e: Option<f64>,
    /// Full well at base ISO, electrons
    #[arg(long)]
    pub full_well_e: Option<f64>,
    /// Base ISO
    #[arg(long)]
    pub base_iso: Option<f64>,
}

/// Numbers of a lens.
#[derive(Debug, Args)]
pub struct GlassArgs {
    /// Focal length, mm
    #[arg(long, allow_negative_numbers = true)]
    pub focal_mm: Option<f64>,
    /// Widest f-number used at night
    #[arg(long, allow_negative_numbers = true)]
    pub f_number: Option<f64>,
    /// Share of light that comes through the glass, 0 to 1
    #[arg(long)]
    pub transmission: Option<f64>,
    /// How it maps angles to the picture
    #[arg(long, value_enum)]
    pub projection: Option<ProjectionChoice>,
    /// How much darker the far corner is wide open, beside the natural fall-off, stops
    #[arg(long)]
    pub corner_loss_stops: Option<f64>,
}

/// How a lens maps angles.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ProjectionChoice {
    /// Straight lines stay straight
    Rectilinear,
    /// Fisheye that keeps shapes
    Stereographic,
    /// Fisheye with even scale along the radius
    Equidistant,
    /// Fisheye that keeps areas; most fisheyes for photography
    Equisolid,
    /// Fisheye with a crowded edge
    Orthographic,
}

/// `quietarc kit list`
#[derive(Debug, Args)]
pub struct KitListArgs {
    /// The kits as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc kit show`
#[derive(Debug, Args)]
pub struct KitShowArgs {
    /// The kit, by name
    pub name: String,
    /// The kit as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc kit remove`
#[derive(Debug, Args)]
pub struct KitRemoveArgs {
    /// The kit, by name
    pub name: String,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc kit starters`
#[derive(Debug, Args)]
pub struct StartersArgs {
    /// The table as JSON
    #[arg(long)]
    pub json: bool,
}
