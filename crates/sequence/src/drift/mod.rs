//! How fast the light moves, along a line and over the picture.

mod along;
mod blocks;
mod correlate;
mod matching;
mod sidereal;

pub use along::{Drift, DriftOutcome, DriftWindow, drift_along};
pub use blocks::{Flow, FlowSettings, FlowVector, flow_between};
pub use sidereal::sidereal_motion_deg_per_s;
