//! Terrain: tiles of heights as files (`.hgt`), the height at a place, and the skyline seen from it.
//!
//! A [`HorizonSurvey`] knows which tiles it wants and takes them one by one, so that only one is in memory at a time.
//! Where a tile is missing nothing is guessed: those azimuths come back as unknown, unless the caller says that what is
//! missing is sea.
//!
//! **What it does not do:** it opens no file. Trees and buildings are in the heights only as far as a radar saw their
//! tops; what stands within [`NEAREST_M`] of the camera is not seen at all and is the keeper's to add by hand.
//!
//! ```
//! use feeds::terrain::{sea_horizon_deg, TileName};
//! use quantity::GeoPosition;
//!
//! let bay = GeoPosition::new(69.15, 15.65, 3.0)?;
//! assert_eq!(TileName::containing(bay).to_string(), "N69E015");
//! assert!((sea_horizon_deg(100.0) + 0.30).abs() < 0.01);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod curvature;
mod line;
mod name;
mod profile;
mod survey;
mod tile;
mod unknown;

pub use curvature::{EARTH_RADIUS_M, REFRACTION_COEFFICIENT, apparent_altitude_deg, sea_horizon_deg};
pub use line::{NEAREST_M, REACH_M};
pub use name::TileName;
pub use survey::{HorizonSettings, HorizonSurvey, MissingTiles, TerrainHorizon, horizon};
pub use tile::HgtTile;
pub use unknown::{UnknownCause, UnknownStretch};
