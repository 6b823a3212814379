//! Outside checks of the aurora crate.

mod published;
mod sightlines;
