//! What moved while the shutter was open, from the shapes of the stars.

mod trail;

pub use trail::trail_length_px;
