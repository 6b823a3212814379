//! Bytes of a picture to a linear image and its metadata, and what can be measured on it: stars, focus, movement.
//!
//! **What it does not do:** it opens no files (bytes come in) and predicts nothing.
//!
//! ```
//! use frame::{Limits, open};
//!
//! let frame = open(b"P6\n1 1\n255\n\x00\xbc\xff", &Limits::default())?;
//! // the curve is assumed, and that is said: half the light is stored as 188 of 255
//! let green = frame.plane(optics::Channel::Green)?;
//! assert!((green.samples()[0] - 0.503).abs() < 0.001);
//! assert!(frame.notes[0].contains("assumed"));
//! # Ok::<(), frame::FrameError>(())
//! ```

mod big_endian;
mod decode;
mod error;
mod fits;
mod focus;
mod frame;
#[doc(hidden)]
pub mod fuzz;
mod icc;
mod kind;
mod least_squares;
mod lens;
mod light;
mod limits;
mod metadata;
mod mosaic;
mod motion;
mod orientation;
mod pixel_scale;
mod plane;
mod raw;
mod raw_numbers;
mod samples;
mod stars;
mod transfer;
mod whole;

pub use decode::{open, open_preview};
pub use error::FrameError;
pub use focus::{
    Focus, FocusCell, FocusMap, FocusPoint, FocusReference, FocusSeries, FocusState, FocusTrend, ProfileShape,
    StackedProfile, best_focus, judge_focus,
};
pub use frame::{Frame, Layout, MosaicPattern, SampleUnit};
pub use kind::{FileKind, sniff};
pub use lens::{LensFailure, LensHints, LensModel, LensPair, LensSolution, solve_lens};
pub use light::{ChannelLight, LightChannel, LightMap};
pub use limits::Limits;
pub use metadata::{Doubt, Metadata, Subject, TakenAt, read_metadata};
pub use motion::{
    Foreground, LensDirection, LensPattern, Motion, MotionContext, MotionKind, Pattern, PatternFit, SkyTurn,
    Steadiness, TrailKind, TrailProfile, judge_motion, steadiness, trail_length_px,
};
pub use orientation::Orientation;
pub use pixel_scale::{PixelScale, ScaleSource, pixel_scale};
pub use plane::Plane;
pub use raw::judge_directories;
pub use raw_numbers::RawNumbers;
pub use stars::{Mesh, Moments, Star, StarField, StarNote, StarSearch, StarShape, find_stars};
pub use transfer::{CurveSource, Linearity, TransferCurve};
