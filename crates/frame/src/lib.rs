//! Bytes of a picture to a linear image and its metadata, and what can be measured on it: stars, focus, movement.
//!
//! **What it does not do:** it opens no files (bytes come in) and predicts nothing.

mod error;
mod focus;
mod least_squares;
mod motion;
mod plane;
mod stars;
mod whole;

pub use error::FrameError;
pub use focus::{
    Focus, FocusCell, FocusMap, FocusPoint, FocusReference, FocusSeries, FocusState, FocusTrend, ProfileShape,
    StackedProfile, best_focus, judge_focus,
};
pub use motion::{
    Foreground, LensDirection, LensPattern, Motion, MotionContext, MotionKind, Pattern, PatternFit, SkyTurn,
    Steadiness, TrailKind, TrailProfile, judge_motion, steadiness, trail_length_px,
};
pub use plane::Plane;
pub use stars::{Mesh, Moments, Star, StarField, StarNote, StarSearch, StarShape, find_stars};
