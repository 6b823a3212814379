//! Fields of weather models in GRIB edition 2 (WMO No. 306, FM 92).
//!
//! Read are regular latitude-longitude, Lambert conformal and polar stereographic grids in every scanning order, and
//! the packings 5.0, 5.2, 5.3, 5.4, 5.40, 5.41 (1, 2, 4, 8 or 16 bits) and 5.42, with or without bit map.
//!
//! **What it does not do:** no edition 1, no reduced, rotated, Gaussian or icosahedral grid, no compressed file
//! (unpack `.bz2` or `.xz` first). Each is refused by name.

mod file;
mod grid;
mod hours;
mod idx;
mod product;
mod projection;
mod sections;
mod select;
mod unpack;

pub use file::{GribField, GribFile, GribGrid};
pub use hours::{grib_weather, places_around};
pub use idx::{GribIndexEntry, parse_grib_index, weather_entries};
pub use product::{GribMember, GribParameter, GribProcess, GribProduct, GribSurface, GribTime};
