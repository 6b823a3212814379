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
mod frame;
#[doc(hidden)]
pub mod fuzz;
mod icc;
mod kind;
mod limits;
mod metadata;
mod mosaic;
mod orientation;
mod pixel_scale;
mod plane;
mod raw;
mod raw_numbers;
mod samples;
mod transfer;

pub use decode::open;
pub use error::FrameError;
pub use frame::{Frame, Layout, MosaicPattern, SampleUnit};
pub use kind::{FileKind, sniff};
pub use limits::Limits;
pub use metadata::{Doubt, Metadata, Subject, TakenAt, read_metadata};
pub use orientation::Orientation;
pub use pixel_scale::{PixelScale, ScaleSource, pixel_scale};
pub use plane::Plane;
pub use raw::judge_directories;
pub use raw_numbers::RawNumbers;
pub use transfer::{CurveSource, Linearity, TransferCurve};
