//! The command line.

mod check;
mod desk;
mod feeds;
mod kit;
mod outing;
mod read;
mod scores;
mod site;
mod sort;
mod tell;

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use jiff::Timestamp;
use jiff::civil::Date;

pub use check::CheckArgs;
pub use desk::{
    DeskAction, DeskArgs, DeskCardArgs, DeskCheckArgs, DeskConsentArgs, DeskEditArgs, DeskExportArgs, DeskKnowArgs,
    DeskLinkAction, DeskLinkArgs, DeskLinkListArgs, DeskLinkNewArgs, DeskLinkRevokeArgs, DeskListArgs, DeskRundownArgs,
    DeskShowArgs, DeskTakeArgs, DeskWithdrawArgs, OutcomeChoice, PlaceShownChoice, RundownAction, StateChoice,
    UseChoice,
};
pub use feeds::{FeedSettingsArgs, FeedsAction, FeedsArgs, FeedsPullArgs, FeedsSourcesArgs, FeedsStatusArgs};
pub use kit::{
    CameraArgs, GlassArgs, KitAddArgs, KitChangeArgs, KitFactsArgs, KitListArgs, KitMeasureArgs, KitRemoveArgs,
    KitShowArgs, KitsAction, KitsArgs, ProjectionChoice, StartersArgs,
};
pub use outing::{MetChoice, OutingAction, OutingArgs, OutingListArgs, OutingNameArgs, OutingSawArgs};
pub use read::ReadArgs;
pub use scores::ScoresArgs;
pub use site::{
    SiteAddArgs, SiteChangeArgs, SiteFactsArgs, SiteImportArgs, SiteListArgs, SiteRemoveArgs, SiteShowArgs,
    SitesAction, SitesArgs,
};
pub use sort::SortArgs;
pub use tell::{
    ClipArgs, ClipCodecChoice, ClipSizeChoice, PrecisionChoice, ShapeChoice, SheetChoice, StackArgs, TellAccountArgs,
    TellAction, TellArgs, TellEyeArgs, TellStillArgs,
};

/// Aurora outings from outlook to account, in one physical unit.
///
/// Every prediction is a surface brightness in rayleighs, with its uncertainty, the age of its inputs and what would change it.
#[derive(Debug, Parser)]
#[command(name = "quietarc", version, max_term_width = 100)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Is it worth going, and between which times?
    Outlook(Box<OutlookCommandArgs>),
    /// At this site, what will be where in the frame?
    Stand(Box<StandArgs>),
    /// Which aperture, seconds and ISO, and what will they give?
    Expose(Box<ExposeArgs>),
    /// This test frame: what is wrong, and what should change?
    Check(Box<CheckArgs>),
    /// Of tonight's frames: which are worth keeping, and why is each dud a dud?
    Sort(Box<SortArgs>),
    /// What does a sequence of frames say over time?
    Read(Box<ReadArgs>),
    /// What did a person see, and how is the night shown to others?
    Tell(TellArgs),
    /// Viewers' pictures: take in, check, permit, credit, let out
    Desk(DeskArgs),
    /// Opens one picture on standard input, for quietarc itself
    #[command(name = "desk-worker", hide = true)]
    DeskWorker,
    /// How bright is the aurora in every direction of the sky?
    Skymap(SkymapArgs),
    /// Where are sun, moon, planets and stars, and when is it dark?
    Almanac(AlmanacArgs),
    /// Which way does the field point, and where is this place magnetically?
    Magnetic(MagneticArgs),
    /// Take an outlook along: a printed card, a calendar, places on a map
    Export(Box<ExportArgs>),
    /// Which outings does the journal keep?
    Outing(OutingArgs),
    /// How good were the outlooks, by what was met on the outings kept?
    Scores(ScoresArgs),
    /// What do the agencies publish, how old is it, and what stands in the way?
    Feeds(FeedsArgs),
    /// Keep places to stand: add, change, list, show, remove, import
    Site(SitesArgs),
    /// Keep cameras with lenses: add, change, list, show, remove, starters
    Kit(KitsArgs),
    /// Show the pages in a browser on this machine, or share them with a phone.
    Serve(ServeArgs),
    /// What is installed, writable and stale, and what to do about it.
    Doctor(DoctorArgs),
    /// Print a completion script for a shell.
    Completions(CompletionsArgs),
    /// Write the manual pages into a folder.
    Man(ManArgs),
    /// Make an invented outing in a fresh journal and show it.
    Demo(DemoArgs),
}

/// A place given by its coordinates.
#[derive(Debug, Clone, Args)]
pub struct PlaceArgs {
    /// Latitude, degrees, north positive
    #[arg(long, allow_negative_numbers = true)]
    pub lat: Option<f64>,
    /// Longitude, degrees, east positive
    #[arg(long, allow_negative_numbers = true)]
    pub lon: Option<f64>,
    /// Height above the sea, metres
    #[arg(long, default_value_t = 0.0, allow_negative_numbers = true)]
    pub elev: f64,
}

/// A site: one of the journal's, or a place with its sky.
#[derive(Debug, Clone, Args)]
pub struct SiteArgs {
    /// A site of the journal, by name (instead of --lat and --lon)
    #[arg(long, conflicts_with_all = ["lat", "lon"])]
    pub site: Option<String>,
    /// Where it is, if it is not in the journal
    #[command(flatten)]
    pub place: PlaceArgs,
    /// What to call the place
    #[arg(long, default_value = "this place")]
    pub name: String,
    /// IANA time zone of the times shown
    #[arg(long, default_value = "UTC")]
    pub time_zone: String,
    /// Measured zenith brightness of the moonless sky, mag/arcsec2
    #[arg(long, conflicts_with = "bortle", allow_negative_numbers = true)]
    pub sky_mag: Option<f64>,
    /// Darkness of the sky on Bortle's scale, 1 to 9
    #[arg(long, allow_negative_numbers = true)]
    pub bortle: Option<u8>,
    /// Snow on the ground
    #[arg(long)]
    pub snow: bool,
    /// Skyline as azimuth:altitude corners in degrees, for example 0:2,90:5,180:1
    #[arg(long, value_name = "AZ:ALT,...", allow_hyphen_values = true)]
    pub horizon: Option<String>,
}

/// Activity and weather: by hand, from files, and where neither is given from the stored feeds.
#[derive(Debug, Clone, Args)]
pub struct InputArgs {
    /// Kp supposed, 0 to 9 [default: what the stored feeds say]
    #[arg(long, conflicts_with = "kp_file", allow_negative_numbers = true)]
    pub kp: Option<f64>,
    /// Table of Kp from an agency (GFZ JSON, text, wdc or tab; NOAA JSON)
    #[arg(long, value_name = "FILE")]
    pub kp_file: Option<PathBuf>,
    /// Cloud in tenths of the sky, 0 to 10 [default: what the stored feeds say]
    #[arg(long, allow_negative_numbers = true)]
    pub cloud: Option<f64>,
    /// Weather from a file: Locationforecast or US grid forecast (JSON), METAR and TAF, or GRIB2, of which several may be given
    #[arg(long, value_name = "FILE", conflicts_with = "cloud")]
    pub weather_file: Vec<PathBuf>,
    /// Solar radio flux at 10.7 cm, sfu [default: that of the stored 27-day outlook, else 120]
    #[arg(long, allow_negative_numbers = true)]
    pub f107: Option<f64>,
    /// Use nothing from the stored feeds
    #[arg(long)]
    pub no_feeds: bool,
    /// The settings
    #[command(flatten)]
    pub settings: FeedSettingsArgs,
}

/// What an outlook is asked, for every command that asks for one.
#[derive(Debug, Args)]
pub struct OutlookArgs {
    /// Where
    #[command(flatten)]
    pub site: SiteArgs,
    /// Date of the evening, as 2026-03-14 [default: tonight]
    #[arg(long)]
    pub night: Option<Date>,
    /// Activity and weather
    #[command(flatten)]
    pub inputs: InputArgs,
    /// A kit of the journal, by name [default: a plain full-frame body with a 20 mm f/1.8 lens]
    #[arg(long)]
    pub kit: Option<String>,
    /// Another site of the journal to compare with; may be given again
    #[arg(long, value_name = "SITE", conflicts_with = "everywhere")]
    pub also: Vec<String>,
    /// Compare with every other site of the journal
    #[arg(long)]
    pub everywhere: bool,
    /// Minutes of dark adaptation
    #[arg(long, default_value_t = 30.0, allow_negative_numbers = true)]
    pub dark_minutes: f64,
    /// The moment from which ages of inputs are counted [default: now]
    #[arg(long)]
    pub asked_at: Option<Timestamp>,
    /// A whole request as JSON, instead of all the above
    #[arg(long, value_name = "FILE", conflicts_with_all = ["site", "lat", "lon", "kp", "kp_file", "cloud", "weather_file", "kit", "night"])]
    pub request: Option<PathBuf>,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc outlook`
#[derive(Debug, Args)]
#[command(
    after_help = "Without --kp and --cloud the stored feeds are asked; quietarc feeds pull renews them.\n\nExamples:\n  quietarc outlook --site 'Skerrow Bay' --everywhere\n  quietarc outlook --lat 69.3 --lon 16.0 --night 2026-03-14 --kp 4 --cloud 3 --time-zone Europe/Oslo"
)]
pub struct OutlookCommandArgs {
    /// The question
    #[command(flatten)]
    pub asked: OutlookArgs,
    /// Save the comparison of the sites (.svg or .png)
    #[arg(long, value_name = "FILE")]
    pub compare: Option<PathBuf>,
    /// Save the night strip (.svg or .png)
    #[arg(long, value_name = "FILE")]
    pub strip: Option<PathBuf>,
    /// Keep it as an outing of this title in the journal (needs --site)
    #[arg(long, value_name = "TITLE", requires = "site")]
    pub save: Option<String>,
    /// The report as JSON
    #[arg(long)]
    pub json: bool,
}

/// `quietarc export`
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  quietarc export card --lat 69.3 --lon 16.0 --night 2026-03-14 --kp 4 --cloud 3 --time-zone Europe/Oslo --out card.html\n  quietarc export calendar --outing 3 --out .\n  quietarc export geojson --site \"Skerrow Bay\" --everywhere --kp 4"
)]
pub struct ExportArgs {
    /// What to make
    #[arg(value_enum)]
    pub what: ExportChoice,
    /// The latest stored prediction of an outing of the journal, by its number (instead of a question)
    #[arg(
        long,
        value_name = "NUMBER",
        conflicts_with_all = ["site", "lat", "lon", "night", "kp", "kp_file", "cloud", "kit", "also", "everywhere", "asked_at", "request"]
    )]
    pub outing: Option<i64>,
    /// Where to write it; a folder gets a file named by site and night [default: standard output]
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// The question
    #[command(flatten)]
    pub asked: OutlookArgs,
}

/// What an outlook can be taken along as.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ExportChoice {
    /// One page of paper (HTML, prints on A4 and US letter)
    Card,
    /// The windows as events with an alarm to leave (iCalendar)
    Calendar,
    /// The sites as waypoints (GPX 1.1)
    Gpx,
    /// The sites and their lines of sight (GeoJSON)
    #[value(name = "geojson")]
    GeoJson,
}

/// `quietarc expose`
#[derive(Debug, Args)]
#[command(
    group = clap::ArgGroup::new("brightness").args(["kr", "ibc", "see", "predicted", "request"]).required(true),
    after_help = "Examples:\n  quietarc expose --see hint --sky-mag 21.5\n  quietarc expose --kr 12 --lat 69.3 --lon 16.0 --at 2026-03-14T22:30:00Z --alt 30 --az 350\n  quietarc expose --predicted --kp 4 --lat 69.3 --lon 16.0 --at 2026-03-14T22:30:00Z\n  quietarc expose --ibc II --hours 2 --fps 25 --temperature -10"
)]
pub struct ExposeArgs {
    /// Green light of the aurora, 557.7 nm, kR
    #[arg(long, allow_negative_numbers = true)]
    pub kr: Option<f64>,
    /// Class on the International Brightness scale
    #[arg(long, value_enum, ignore_case = true)]
    pub ibc: Option<IbcChoice>,
    /// What you see
    #[arg(long, value_enum)]
    pub see: Option<SeenChoice>,
    /// What is predicted for the place and the instant
    #[arg(long)]
    pub predicted: bool,
    /// Activity, for --predicted
    #[command(flatten)]
    pub inputs: InputArgs,
    /// Red light, 630.0 nm, over the green
    #[arg(long, value_name = "SHARE", allow_negative_numbers = true)]
    pub red: Option<f64>,
    /// Blue light, 427.8 nm, over the green
    #[arg(long, value_name = "SHARE", allow_negative_numbers = true)]
    pub blue: Option<f64>,
    /// A kit of the journal, by name [default: a plain full-frame body with a 20 mm f/1.8 lens]
    #[arg(long)]
    pub kit: Option<String>,
    /// Where; with --at the sky behind the aurora is worked out. Without, --sky-mag is the sky in the frame
    #[command(flatten)]
    pub site: SiteArgs,
    /// The instant, UTC [default with a place: now]
    #[arg(long)]
    pub at: Option<Timestamp>,
    /// Altitude of the middle of the frame, degrees
    #[arg(long, requires = "az", allow_negative_numbers = true)]
    pub alt: Option<f64>,
    /// Azimuth of the middle of the frame, degrees
    #[arg(long, requires = "alt", allow_negative_numbers = true)]
    pub az: Option<f64>,
    /// Camera held upright
    #[arg(long)]
    pub portrait: bool,
    /// Declination in the frame nearest to the equator, degrees [default: from place and pointing, else 0]
    #[arg(long, allow_negative_numbers = true)]
    pub declination: Option<f64>,
    /// How it moves [default: what is usual at that brightness]
    #[arg(long, value_enum)]
    pub motion: Option<MotionChoice>,
    /// A time-lapse of so many hours
    #[arg(long, allow_negative_numbers = true)]
    pub hours: Option<f64>,
    /// Frames per second of its clip
    #[arg(long, default_value_t = 25.0, allow_negative_numbers = true)]
    pub fps: f64,
    /// Pause between its frames, s
    #[arg(long, default_value_t = 1.0, allow_negative_numbers = true)]
    pub gap_s: f64,
    /// Air temperature, degrees Celsius
    #[arg(long, allow_negative_numbers = true)]
    pub temperature: Option<f64>,
    /// Minutes of dark adaptation
    #[arg(long, default_value_t = 30.0, allow_negative_numbers = true)]
    pub dark_minutes: f64,
    /// A whole request as JSON, instead of all the above
    #[arg(long, value_name = "FILE", conflicts_with_all = ["kit", "site", "lat", "lon", "at", "alt", "motion", "hours"])]
    pub request: Option<PathBuf>,
    /// Save the settings with their simulated patches as SVG
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
    /// Save the same as PNG
    #[arg(long, value_name = "FILE")]
    pub png: Option<PathBuf>,
    /// The report as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc stand`
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  quietarc stand --lat 69.3 --lon 16.0 --at 2026-03-14T22:30:00Z --kp 4 --az 350 --alt 20 --svg frame.svg\n\nWithout --az and --alt the pointing that serves best is used."
)]
pub struct StandArgs {
    /// Where
    #[command(flatten)]
    pub site: SiteArgs,
    /// The instant, UTC [default: now]
    #[arg(long)]
    pub at: Option<Timestamp>,
    /// A kit of the journal, by name [default: a plain full-frame body with a 20 mm f/1.8 lens]
    #[arg(long)]
    pub kit: Option<String>,
    /// Azimuth of the middle of the picture, degrees [default: suggested]
    #[arg(long, requires = "alt", allow_negative_numbers = true)]
    pub az: Option<f64>,
    /// Altitude of the middle of the picture, degrees [default: suggested]
    #[arg(long, requires = "az", allow_negative_numbers = true)]
    pub alt: Option<f64>,
    /// Tilt of the picture, degrees; positive raises its right-hand side
    #[arg(long, requires = "az", default_value_t = 0.0, allow_negative_numbers = true)]
    pub roll: f64,
    /// Held upright
    #[arg(long, requires = "az")]
    pub portrait: bool,
    /// Distance focused at, metres [default: infinity]
    #[arg(long, allow_negative_numbers = true)]
    pub focus_m: Option<f64>,
    /// Activity and weather
    #[command(flatten)]
    pub inputs: InputArgs,
    /// Wind, m/s at 10 m [default: not known]
    #[arg(long, allow_negative_numbers = true)]
    pub wind: Option<f64>,
    /// Air temperature, °C [default: not known]
    #[arg(long, allow_negative_numbers = true)]
    pub temperature: Option<f64>,
    /// Dew point, °C [default: not known]
    #[arg(long, allow_negative_numbers = true)]
    pub dew_point: Option<f64>,
    /// A whole request as JSON, instead of all the above
    #[arg(long, value_name = "FILE", conflicts_with_all = ["site", "lat", "lon", "kp", "kp_file", "at", "kit", "az"])]
    pub request: Option<PathBuf>,
    /// Save the view through the lens as SVG
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
    /// Save the view through the lens as PNG
    #[arg(long, value_name = "FILE")]
    pub png: Option<PathBuf>,
    /// Save the sky bowl with the frame on it (.svg or .png; needs a Kp)
    #[arg(long, value_name = "FILE")]
    pub bowl: Option<PathBuf>,
    /// The report as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// A class on the International Brightness scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum IbcChoice {
    /// 1 kR
    #[value(name = "I", alias = "1")]
    One,
    /// 10 kR
    #[value(name = "II", alias = "2")]
    Two,
    /// 100 kR
    #[value(name = "III", alias = "3")]
    Three,
    /// 1000 kR
    #[value(name = "IV", alias = "4")]
    Four,
}

/// What a person sees.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SeenChoice {
    /// Nothing by eye
    Nothing,
    /// A grey glow
    Grey,
    /// A hint of colour
    Hint,
    /// Plain colour
    Colour,
    /// Shadows on the ground
    Shadows,
}

/// How an aurora moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum MotionChoice {
    /// An even arc
    Quiet,
    /// An arc with folds
    Folds,
    /// Running rays
    Rays,
    /// A breakup
    Breakup,
    /// Pulsating patches
    Pulsating,
}

/// `quietarc skymap`
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  quietarc skymap --lat 69.3 --lon 16.0 --at 2026-03-14T22:30:00Z --kp 4 --png sky.png"
)]
pub struct SkymapArgs {
    /// Where
    #[command(flatten)]
    pub site: SiteArgs,
    /// The instant, UTC
    #[arg(long)]
    pub at: Option<Timestamp>,
    /// Kp, 0 to 9
    #[arg(long, allow_negative_numbers = true)]
    pub kp: Option<f64>,
    /// Solar radio flux at 10.7 cm, sfu
    #[arg(long, default_value_t = job::MIDDLING_F107_SFU, allow_negative_numbers = true)]
    pub f107: f64,
    /// Spacing of the grid, degrees
    #[arg(long, default_value_t = 3.0, allow_negative_numbers = true)]
    pub step: f64,
    /// A whole request as JSON, instead of all the above
    #[arg(long, value_name = "FILE", conflicts_with_all = ["site", "lat", "lon", "kp", "at"])]
    pub request: Option<PathBuf>,
    /// Save the sky bowl as SVG
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
    /// Save the sky bowl as PNG
    #[arg(long, value_name = "FILE")]
    pub png: Option<PathBuf>,
    /// The report as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc almanac`
#[derive(Debug, Args)]
#[command(
    after_help = "Batch headers:\n  utc,lat_deg,lon_deg,elev_m          positions of sun and moon\n  date,lat_deg,lon_deg   (--night)    times of each night\n  hip,utc,lat_deg,lon_deg,elev_m (--stars)  places of Hipparcos stars\n\nExample:\n  quietarc almanac --at 2026-12-21T10:00:00Z --lat 69.3 --lon 16.0"
)]
pub struct AlmanacArgs {
    /// The instant, UTC [default: now]
    #[arg(long)]
    pub at: Option<Timestamp>,
    /// Where
    #[command(flatten)]
    pub place: PlaceArgs,
    /// Answer a CSV file row by row, to standard output
    #[arg(long, value_name = "FILE")]
    pub batch: Option<PathBuf>,
    /// The batch asks for the times of nights
    #[arg(long, requires = "batch", conflicts_with = "stars")]
    pub night: bool,
    /// The batch asks for places of stars
    #[arg(long, requires = "batch")]
    pub stars: bool,
    /// A whole request as JSON
    #[arg(long, value_name = "FILE", conflicts_with_all = ["at", "lat", "lon", "batch"])]
    pub request: Option<PathBuf>,
    /// The report as JSON
    #[arg(long)]
    pub json: bool,
}

/// `quietarc magnetic`
#[derive(Debug, Args)]
#[command(
    after_help = "Batch header:\n  lat_deg,lon_deg,height_km,utc\n\nExample:\n  quietarc magnetic --lat 69.3 --lon 16.0 --height-km 110 --date 2026-03-14"
)]
pub struct MagneticArgs {
    /// Latitude, degrees, north positive
    #[arg(long, allow_negative_numbers = true)]
    pub lat: Option<f64>,
    /// Longitude, degrees, east positive
    #[arg(long, allow_negative_numbers = true)]
    pub lon: Option<f64>,
    /// Height of the point, km
    #[arg(long, default_value_t = 110.0, allow_negative_numbers = true)]
    pub height_km: f64,
    /// Date (2026-03-14) or instant (2026-03-14T22:00:00Z), UTC [default: now]
    #[arg(long)]
    pub date: Option<String>,
    /// Trace each field line, as the definition says, instead of reading the fit that libraries use
    #[arg(long)]
    pub traced: bool,
    /// Answer a CSV file row by row, to standard output
    #[arg(long, value_name = "FILE")]
    pub batch: Option<PathBuf>,
    /// A whole request as JSON
    #[arg(long, value_name = "FILE", conflicts_with_all = ["lat", "lon", "date", "batch", "traced"])]
    pub request: Option<PathBuf>,
    /// The report as JSON
    #[arg(long)]
    pub json: bool,
}

/// Where the journal is.
#[derive(Debug, Clone, Args)]
pub struct JournalArgs {
    /// The journal's file [default: quietarc/journal.sqlite in the data folder of this account]
    #[arg(long, value_name = "FILE", env = "QUIETARC_JOURNAL")]
    pub journal: Option<PathBuf>,
}

/// `quietarc serve`
#[derive(Debug, Args)]
pub struct ServeArgs {
    /// The settings
    #[command(flatten)]
    pub settings: FeedSettingsArgs,
    /// Port on the loopback address; 0 picks a free one
    #[arg(long, default_value_t = 7460)]
    pub port: u16,
    /// Let others in the local network in who scan the QR code shown
    #[arg(long)]
    pub share: bool,
    /// A proxy stands in front: its word for the address a viewer sends from is taken, so that each is counted for itself; the address it asks from [default: this machine]
    #[arg(long, value_name = "ADDRESS", num_args = 0..=1, default_missing_value = "127.0.0.1")]
    pub behind_proxy: Option<std::net::IpAddr>,
    /// A folder whose frames, and those in folders below it, may be sorted from the page; may be given again [default: any folder; with --share none]
    #[arg(long, value_name = "FOLDER")]
    pub frames: Vec<PathBuf>,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc doctor`
#[derive(Debug, Args)]
pub struct DoctorArgs {
    /// The findings as JSON
    #[arg(long)]
    pub json: bool,
    /// The settings
    #[command(flatten)]
    pub settings: FeedSettingsArgs,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc completions`
#[derive(Debug, Args)]
pub struct CompletionsArgs {
    /// The shell
    pub shell: clap_complete::Shell,
}

/// `quietarc man`
#[derive(Debug, Args)]
pub struct ManArgs {
    /// Where to write the pages
    #[arg(value_name = "FOLDER", default_value = "man")]
    pub folder: PathBuf,
}

/// `quietarc demo`
#[derive(Debug, Args)]
pub struct DemoArgs {
    /// Port on the loopback address; 0 picks a free one
    #[arg(long, default_value_t = 7460)]
    pub port: u16,
    /// Where to make the journal; what is there is replaced if it is a demo, refused if not
    #[arg(long, value_name = "FILE", default_value = "demo/journal.sqlite")]
    pub journal: PathBuf,
    /// Make the outings and the night of frames, print them, and stop
    #[arg(long)]
    pub no_serve: bool,
    /// Without the invented night of frames, which takes some seconds to draw and to sort
    #[arg(long)]
    pub no_night: bool,
    /// A folder that the page Sort may look at, with what lies in it, beside the invented night. May be given again
    #[arg(long, value_name = "FOLDER")]
    pub frames: Vec<PathBuf>,
    /// The settings
    #[command(flatten)]
    pub settings: FeedSettingsArgs,
}
