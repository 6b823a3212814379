//! Parsers of public feeds (bytes of an agency's file in, a checked series out) and the one client that fetches them.
//!
//! Every shape in which a Kp table is published is recognised by its content, not by its name:
//!
//! | shape | publisher | values |
//! |---|---|---|
//! | JSON of parallel arrays (`Kp`, `datetime`, `status`) | GFZ | definitive and preliminary |
//! | text table since 1932, one day a line, or its nowcast | GFZ | definitive and preliminary |
//! | text table, one interval a line | GFZ | definitive and preliminary |
//! | `.wdc` and `.tab`, one day a line | GFZ | definitive; quick-look files preliminary |
//! | JSON of rows with a header row, or of objects | NOAA | estimates of the past and a forecast |
//!
//! A row that cannot be true is left out and reported in [`KpSeries::rejected`]; the rest is used. A gap
//! stays a gap.
//!
//! [`magnetometer`] reads magnetograms; [`weather`] reads forecasts and observations; [`places`] files of waypoints; [`terrain`] tiles of heights.
//! The other feeds have parsers of their own: [`solar_wind`], [`noaa`] (Kp by the minute, hemispheric power, precipitation
//! grid, forecasts in words) and [`weather`]. [`space_weather`](fn@space_weather) joins everything that is
//! said of the activity into one series with its sources.
//!
//! [`sources`] holds every feed with its address, licence and limits; [`client`] asks for them.
//!
//! **What it does not do:** outside [`client`] no network and no clock, and nowhere a file. The parsers do not fill
//! gaps and do not turn half-hourly Hp30 into Kp.
//!
//! ```
//! let answer = br#"{"Kp":[7.667,8.667],"datetime":["2024-05-10T15:00:00Z","2024-05-10T18:00:00Z"],
//!     "meta":{"license":"CC BY 4.0","source":"GFZ Potsdam"},"status":["def","def"]}"#;
//! let series = feeds::parse_kp(answer, "kp.json")?;
//! let activity = series.to_activity("2024-05-10T17:00:00Z".parse()?, "2024-05-11T00:00:00Z".parse()?);
//! assert_eq!(activity.intervals.len(), 2);
//! assert!(activity.source.contains("CC BY 4.0"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod agencies;
mod body;
pub mod client;
mod collect;
mod error;
pub mod gfz;
mod json;
mod kp_third;
pub mod magnetometer;
mod newest;
pub mod noaa;
pub mod places;
mod row;
mod series;
mod settings;
mod sniff;
pub mod solar_wind;
pub mod sources;
mod space_weather;
mod state;
mod table;
pub mod terrain;
pub mod weather;

pub use agencies::Agency;
pub use error::FeedError;
pub use kp_third::{KpThird, ap_of_kp};
pub use newest::newest_sample;
pub use row::{Place, RowError};
pub use series::{KpFormat, KpSeries};
pub use settings::{Contact, Settings, SettingsError};
pub use sniff::{LARGEST_BYTES, parse_kp};
pub use sources::{Coverage, FeedId, Freshness, Needs, Retry, Shape, Source, UnknownFeed};
pub use space_weather::{RadioFlux, SpaceWeather, radio_flux, space_weather};
pub use state::FeedState;
