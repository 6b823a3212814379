//! Time, Sun, Moon, planets, stars and the light of the sky without aurora, for any place on Earth.
//!
//! **What it does not do:** no clock (the instant comes in), no time zones, no files, no terrain: the horizon is that of
//! the open sea. Nothing about aurora.
//!
//! ```
//! use quantity::GeoPosition;
//!
//! let place = GeoPosition::new(69.2, 15.1, 4.0)?;
//! let night = sky::night("2026-11-25".parse()?, place)?;
//! assert!(night.astronomical_dusk < night.astronomical_dawn);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod airmass;
pub mod background;
mod bodies;
mod cloud;
mod crossing;
mod dut1;
mod error;
mod events;
mod extinction;
mod frame;
mod moon;
mod observer;
pub mod photometry;
mod planets;
mod refraction;
mod series;
mod stars;
mod sun;
mod time;
pub mod towns;

pub use bodies::{SkyInstant, SunMoon, sun_moon};
pub use cloud::{CloudKind, CloudLayer, OPTICAL_DEPTH_PER_MAG, clear_sightline_chance, cloud_transmission};
pub use error::SkyError;
pub use events::{
    ASTRONOMICAL_ALTITUDE_DEG, CIVIL_ALTITUDE_DEG, Darkness, Extreme, MoonState, NAUTICAL_ALTITUDE_DEG, Night,
    SUNSET_ALTITUDE_DEG, SunState, night,
};
pub use extinction::{CLEAR_AIR_SIGMA_MAG, Extinction, GLOW_LOSS_DEFAULT};
pub use moon::MoonPlace;
pub use observer::{ObserverSky, StarPlace};
pub use planets::{Planet, PlanetPlace};
pub use refraction::Air;
pub use stars::{CATALOGUE_EPOCH_YEAR, Catalogue, Star, catalogue, v_from_hp};
pub use sun::SunPlace;
pub use time::{Clocks, DAY_S, FIRST_YEAR, J2000_JD, LAST_YEAR};
