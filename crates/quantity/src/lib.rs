//! The shared words of Quietarc as types: brightness, positions, directions, estimates, input notes.
//!
//! **What it does not do:** no physics, no formulas beyond unit definitions, no files, no clock. Anything
//! that computes a sky lives above this crate.
//!
//! ```
//! use quantity::{GeoPosition, Rayleighs};
//!
//! let bay = GeoPosition::new(69.2, 15.1, 4.0)?;
//! let arc = Rayleighs::from_kilorayleighs(10.0)?;
//! assert_eq!(arc.rayleighs(), 10_000.0);
//! assert_eq!(bay.latitude_deg(), 69.2);
//! # Ok::<(), quantity::QuantityError>(())
//! ```

mod brightness;
mod direction;
mod error;
mod estimate;
mod fraction;
mod position;

pub use brightness::{EmissionLine, LineBrightness, PHOTONS_PER_RAYLEIGH_M2_S_SR, Rayleighs};
pub use direction::{Horizontal, angular_separation_deg, wrap_degrees_180, wrap_degrees_360};
pub use error::QuantityError;
pub use estimate::{Basis, Estimate, InputNote, InputState};
pub use fraction::Fraction;
pub use position::GeoPosition;

/// An instant, always UTC: the one time type that crosses a crate border.
pub use jiff::Timestamp;
