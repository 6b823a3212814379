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

mod aurora;
mod big_endian;
mod bodies;
mod calibration;
mod cloud;
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
mod photon_transfer;
mod pixel_scale;
mod plane;
mod raw;
mod raw_numbers;
mod recognise;
mod room;
mod samples;
mod sky_mask;
mod stars;
mod transfer;
mod whole;
mod whole_numbers;
mod window;

pub use aurora::{
    AuroraClue, AuroraContext, AuroraCorona, AuroraEvidence, AuroraExtent, AuroraFinding, AuroraForm, AuroraPresence,
    AuroraRays, AuroraRegion, AuroraRival, AuroraStructure, ChannelExcess, LineShares, RivalFinding, StarsSeen,
    find_aurora,
};
pub use bodies::{BodyHints, BodyKind, BrightBody, BrightLights};
pub use calibration::{
    BlackLevel, CalibratedCells, Calibration, CalibrationBasis, CalibrationFailure, CalibrationHints,
    ChannelCalibration, FilterHint, FittedTerm, LineExcess, NominalKit, SplitLines, calibrate, calibrate_by_settings,
};
pub use cloud::{CloudCover, CloudMap, CloudMethod, DIMMED_MAG};
pub use decode::{Stack, open, open_each, open_preview, open_stack};
pub use error::FrameError;
pub use focus::{
    Focus, FocusCell, FocusMap, FocusPoint, FocusReference, FocusSeries, FocusState, FocusTrend, ProfileShape,
    StackedProfile, best_focus, judge_focus,
};
pub use frame::{Frame, Layout, MosaicPattern, SampleUnit};
pub use kind::{FileKind, sniff};
pub use lens::{
    ImageCircle, LensFailure, LensHints, LensModel, LensPair, LensSolution, StarAlignment, image_circle, solve_lens,
    solve_lens_on,
};
pub use light::{ChannelLight, LightChannel, LightMap};
pub use limits::Limits;
pub use metadata::{Doubt, Metadata, Subject, TakenAt, read_metadata};
pub use motion::{
    Foreground, LensDirection, LensPattern, Motion, MotionContext, MotionKind, Pattern, PatternFit, SkyTurn, StarTurn,
    Steadiness, TrailKind, TrailProfile, judge_motion, second_image, steadiness, trail_length_px,
};
pub use orientation::Orientation;
pub use photon_transfer::{
    ChannelTransfer, PairStatistics, PhotonTransfer, PhotonTransferFailure, TransferPoint, photon_transfer,
};
pub use pixel_scale::{PixelScale, ScaleSource, pixel_scale};
pub use plane::{Plane, Row};
pub use raw::judge_directories;
pub use raw_numbers::RawNumbers;
pub use recognise::PictureNature;
pub use room::RoomKeeper;
pub use sky_mask::{CellKind, SkyCircle, SkyMask};
pub use stars::{Mesh, Moments, Star, StarField, StarNote, StarSearch, StarShape, find_stars, find_stars_in};
pub use transfer::{CurveSource, Linearity, TransferCurve};
