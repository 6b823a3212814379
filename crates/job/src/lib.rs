//! The verbs of Quietarc: each one pure function from a `Request` to a `Report`.
//!
//! Every rule of the program that is not physics lives here, once. The command line, the web server and
//! the tests call the same functions with the same requests and must get equal reports.
//!
//! **What it does not do:** no file, clock, network or database. The time of asking, the site, the
//! activity and the cloud arrive in the request; nothing is looked up.
//!
//! | question | function |
//! |---|---|
//! | Is it worth going, and between which times? | [`outlook`](fn@outlook) |
//! | Which aperture, ISO and seconds, and what will they give? | [`expose`](fn@expose) |
//! | Where are sun, moon, planets and stars, and when is it dark? | [`almanac`](fn@almanac) |
//! | Which way does the field point, and where is this place magnetically? | [`magnetic`](fn@magnetic) |
//! | How bright is the aurora in every direction? | [`skymap`](fn@skymap) |
//! | At this site, what will be where in the frame? | [`stand`](fn@stand) |

mod activity;
mod almanac;
mod cautions;
mod comfort;
mod error;
mod expose;
mod framing;
mod kit;
mod kit_optics;
mod magnetic;
mod outlook;
mod pointing;
mod site;
mod site_sky;
mod skymap;
mod stand;
mod starters;
#[cfg(feature = "typescript")]
pub mod typescript;
mod weather;
mod wording;

pub use activity::{Activity, ActivityKind, KpInterval};
pub use almanac::{
    AlmanacReport, AlmanacRequest, BodyPosition, DarknessClass, MoonState, NamedPosition, NightTimes, SunState,
    almanac, night_times,
};
pub use cautions::{Caution, cautions};
pub use comfort::{
    DewRisk, FrostbiteRisk, LensMoisture, beaufort, dew_point_c, frostbite_risk, lens_moisture, wind_chill_c,
};
pub use error::JobError;
pub use expose::{
    AskedBrightness, AskedSky, AuroraMotion, ColourShares, ExposeReport, ExposeRequest, ExposeSetting, ExposedLight,
    ExposureBounds, IbcClass, LimitedBy, SeenAurora, SettingGoal, ShootingPurpose, TimeLapse, expose,
};
pub use framing::{FramePlace, Framing};
pub use kit::{CameraBody, Kit, KitLimits, Lens, LensProjection};
pub use magnetic::{CoordinateMethod, MagneticReport, MagneticRequest, magnetic};
pub use outlook::{
    BrightestPatch, Candidate, Chances, OutlookReport, OutlookRequest, OutlookStep, Recommendation, SiteOutlook,
    Verdict, WatchWindow, outlook,
};
pub use pointing::{FramePointing, Orientation};
pub use site::{ForegroundObject, HorizonPoint, Site, SkyQuality, WaterBearing};
pub use skymap::{SkymapReport, SkymapRequest, skymap};
pub use stand::{
    DewReport, FlareRisk, FocusReport, FrameBody, FrameField, FrameGrid, FrameLight, FrameObject, FrameSuggestion,
    FrameTurn, FrameZenith, MirrorStretch, MirrorSurface, MirroredLight, MoonInFrame, RimGlow, Sharpness, StandReport,
    StandRequest, TownInFrame, TurnKind, stand,
};
pub use starters::{LensStarter, NumberBasis, SensorStarter, StarterNumbers, Starters, starter_kit, starters};
pub use weather::{CloudCover, Weather, WeatherAround, WeatherHour};
pub use wording::{chance_words, lit_words};
