//! Arguments of `quietarc site`.

use std::path::PathBuf;

use clap::{Args, Subcommand};

use super::JournalArgs;

/// `quietarc site`
#[derive(Debug, Args)]
pub struct SitesArgs {
    /// What to do with the sites.
    #[command(subcommand)]
    pub action: SitesAction,
}

/// What to do with the sites.
#[derive(Debug, Subcommand)]
pub enum SitesAction {
    /// Keep a place to stand
    Add(Box<SiteAddArgs>),
    /// Change what is known of a site; the rest stays
    Change(Box<SiteChangeArgs>),
    /// Which sites are kept?
    List(SiteListArgs),
    /// What is known of a site: skyline, water, foreground, sky
    Show(SiteShowArgs),
    /// Forget a site; refused while an outing uses it
    Remove(SiteRemoveArgs),
    /// Keep the places of a GPX, KML or GeoJSON file
    Import(SiteImportArgs),
}

/// `quietarc site add`
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  quietarc site add \"Skerrow Bay\" --lat 69.15 --lon 15.65 --elev 3 --time-zone Europe/Oslo --bortle 3\n  quietarc site add \"Marrow Head\" --lat 69.30 --lon 15.20 --horizon-from tiles --missing-is-sea\n\nBearings and azimuths are degrees from true north through east. Without --sky-mag and --bortle the sky is estimated from the towns around."
)]
pub struct SiteAddArgs {
    /// What to call it
    #[arg(value_name = "NAME", required_unless_present = "name", conflicts_with = "name")]
    pub site: Option<String>,
    /// The same as NAME
    #[arg(long, value_name = "NAME")]
    pub name: Option<String>,
    /// What is known of it
    #[command(flatten)]
    pub facts: SiteFactsArgs,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc site change`
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  quietarc site change \"Skerrow Bay\" --water 300-30:sheltered --foreground \"boathouse:345:60:5.5:9\"\n  quietarc site change \"Skerrow Bay\" --rename \"Skerrow Bay, east\" --snow=false --water none\n\nWhat is not given stays as it is; its outings stay."
)]
pub struct SiteChangeArgs {
    /// The site, by name
    pub name: String,
    /// Another name for it
    #[arg(long, value_name = "NAME")]
    pub rename: Option<String>,
    /// What is known of it
    #[command(flatten)]
    pub facts: SiteFactsArgs,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// What is known of a site.
#[derive(Debug, Args)]
pub struct SiteFactsArgs {
    /// Latitude, degrees, north positive
    #[arg(long, allow_negative_numbers = true)]
    pub lat: Option<f64>,
    /// Longitude, degrees, east positive
    #[arg(long, allow_negative_numbers = true)]
    pub lon: Option<f64>,
    /// Height above the sea, metres [default: the tile's with --horizon-from, else 0]
    #[arg(long, allow_negative_numbers = true)]
    pub elev: Option<f64>,
    /// IANA time zone of the times shown [default: UTC]
    #[arg(long, visible_alias = "zone")]
    pub time_zone: Option<String>,
    /// Measured zenith brightness of the moonless sky, mag/arcsec2
    #[arg(long, conflicts_with_all = ["bortle", "sky_estimated"])]
    pub sky_mag: Option<f64>,
    /// Darkness of the sky on Bortle's scale, 1 to 9
    #[arg(long, conflicts_with = "sky_estimated")]
    pub bortle: Option<u8>,
    /// The darkness is not known: it is estimated from the towns around
    #[arg(long)]
    pub sky_estimated: bool,
    /// Snow on the ground
    #[arg(long, num_args = 0..=1, require_equals = true, default_missing_value = "true")]
    pub snow: Option<bool>,
    /// Skyline as azimuth:altitude corners in degrees, for example 0:2,90:5,180:1; or flat
    #[arg(long, value_name = "AZ:ALT,...", allow_hyphen_values = true, conflicts_with = "horizon_from")]
    pub horizon: Option<String>,
    /// Skyline out to 60 km from terrain tiles (N69E015.hgt, ...) in this folder
    #[arg(long, value_name = "FOLDER")]
    pub horizon_from: Option<PathBuf>,
    /// Tiles that are not in the folder are sea; otherwise those azimuths are said to be unknown
    #[arg(long, requires = "horizon_from")]
    pub missing_is_sea: bool,
    /// Height of the camera above the ground for that skyline, metres
    #[arg(long, default_value_t = 1.5)]
    pub eye_height_m: f64,
    /// Water in front, from one bearing clockwise to another; may be given again; or none
    #[arg(long, value_name = "FROM-TO[:sheltered]")]
    pub water: Vec<String>,
    /// Something in front: bearing in degrees; distance, height above the camera and width in metres; may be given again; or none
    #[arg(long, value_name = "NAME:BEARING:DISTANCE:HEIGHT:WIDTH")]
    pub foreground: Vec<String>,
    /// Notes on road, ground and owner
    #[arg(long, visible_alias = "road-notes")]
    pub notes: Option<String>,
    /// Minutes on the road from where you usually start
    #[arg(long)]
    pub drive_minutes: Option<f64>,
}

/// `quietarc site list`
#[derive(Debug, Args)]
pub struct SiteListArgs {
    /// The sites as JSON
    #[arg(long)]
    pub json: bool,
    /// The sites as GeoJSON, which `site import` reads back whole
    #[arg(long, conflicts_with = "json")]
    pub geojson: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc site show`
#[derive(Debug, Args)]
pub struct SiteShowArgs {
    /// The site, by name
    pub name: String,
    /// Save the skyline as SVG
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
    /// Save the skyline as PNG
    #[arg(long, value_name = "FILE")]
    pub png: Option<PathBuf>,
    /// The site as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc site remove`
#[derive(Debug, Args)]
pub struct SiteRemoveArgs {
    /// The site, by name
    pub name: String,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}

/// `quietarc site import`
#[derive(Debug, Args)]
#[command(
    after_help = "A file's good places are stored together; bad ones are named, and the exit code is then 1. A place that is in the journal already is left as it is.\n\nExample:\n  quietarc site import waypoints.gpx --time-zone Europe/Oslo"
)]
pub struct SiteImportArgs {
    /// GPX 1.0 or 1.1, KML (unpack a KMZ first) or GeoJSON
    #[arg(value_name = "FILE", required = true)]
    pub files: Vec<PathBuf>,
    /// IANA time zone for places whose file names none
    #[arg(long, visible_alias = "zone", default_value = "UTC")]
    pub time_zone: String,
    /// The report as JSON
    #[arg(long)]
    pub json: bool,
    /// The journal
    #[command(flatten)]
    pub journal: JournalArgs,
}
