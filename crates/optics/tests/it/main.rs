//! Outside checks of the optics crate.
