//! The aurora in a frame: whether there is one, how bright, how far it reaches.

use quantity::Estimate;
use serde::{Deserialize, Serialize};

/// Whether something is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum AuroraPresence {
    /// It is.
    Yes,
    /// It is not.
    No,
    /// The frame does not tell.
    CannotTell,
}

/// The aurora in a frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CheckedAurora {
    /// Whether there is one.
    pub present: AuroraPresence,
    /// How probable that is, 0..1: a judgement from named pieces of evidence.
    pub probability: f64,
    /// Its brightest hundredth, in kR of 557.7 nm that give the green channel as much light.
    pub brightest_kr: Option<Estimate>,
    /// Median over its cells, kR likewise.
    pub median_kr: Option<Estimate>,
    /// Share of the sky in the frame that shows it, 0..1.
    pub extent: Option<Estimate>,
    /// Why that is said, the weightiest first.
    pub words: Vec<String>,
}
