//! The Earth's main field, field lines, magnetic coordinates, and the geometry of lines of sight.
//!
//! * [`FieldModel`]: IGRF-14 at an instant, anywhere above the ground; [`magnetic_zenith`] from its vector.
//! * [`trace`]: quasi-dipole and modified apex coordinates of a point; [`ApexGrid`], [`coordinates_of`] and
//!   [`coordinates_of_dated`]: the same for very many points; [`MagneticClock`]: magnetic local time.
//! * [`Sightline`], [`look_at`], [`ground_distance_km`], [`bearing_deg`]: where a line of sight goes, on WGS-84.
//!
//! **What it does not do:** no crustal field, no currents of a magnetic storm, no external field (so field lines that reach
//! beyond some six Earth radii are labels, not places); no corrected geomagnetic coordinates of AACGM, though
//! [`MagneticCoordinates::model_lat_deg`] comes near its latitude; no refraction; no aurora.
//!
//! ```
//! use geomag::{FieldModel, MagneticClock, magnetic_zenith, trace};
//!
//! let instant: jiff::Timestamp = "2025-03-01T21:00:00Z".parse().unwrap();
//! let field = FieldModel::at(instant)?;
//! let over_tromso = trace(&field, 69.65, 18.96, 110.0)?;
//! let clock = MagneticClock::new(&field, instant);
//! assert!((over_tromso.model_lat_deg - 67.2).abs() < 0.1);
//! assert!((clock.mlt_h(over_tromso.qd_lon_deg) - 22.58).abs() < 0.02);
//! assert!((magnetic_zenith(&field.field(69.65, 18.96, 110.0)).altitude_deg - 78.4).abs() < 0.1);
//! # Ok::<(), geomag::GeomagError>(())
//! ```

mod apex;
mod batch;
mod coefficients;
mod constants;
mod decimal_year;
mod dipole;
mod error;
mod expansion;
mod field;
mod geodesy;
mod grid;
mod harmonics;
mod least_squares;
mod legendre;
mod line;
mod mlt;
mod sightline;
mod vector;
mod zenith;

pub use apex::{MagneticCoordinates, trace};
pub use batch::{DatedAnswer, DatedPoint, answers_of_dated, coordinates_of, coordinates_of_dated};
pub use dipole::CentredDipole;
pub use error::GeomagError;
pub use expansion::ApexExpansion;
pub use field::{FieldModel, FieldVector};
pub use geodesy::{bearing_deg, ecef_from_geodetic_km, geodetic_from_ecef_km, ground_distance_km, look_at};
pub use grid::{ApexGrid, GridBounds};
pub use mlt::{MagneticClock, SubsolarPoint, magnetic_local_time_h, subsolar_point};
pub use sightline::{Sightline, SkyPoint};
pub use zenith::magnetic_zenith;
