//! What moved while the shutter was open, from the shapes of the stars.

mod double;
mod lens;
mod pattern;
mod profile;
mod series;
mod sky_turn;
mod trail;
mod verdict;
mod words;

pub use lens::{LensDirection, LensPattern};
pub use pattern::{Pattern, PatternFit};
pub use profile::{TrailKind, TrailProfile};
pub use series::{Steadiness, steadiness};
pub use sky_turn::{SkyTurn, StarTurn};
pub use trail::trail_length_px;
pub use verdict::{Foreground, Motion, MotionContext, MotionKind, judge_motion, second_image};

pub(crate) use lens::lens_pattern;
