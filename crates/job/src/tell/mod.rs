//! What did a person see, and how is it shown?

mod eye;
mod still;

pub use eye::{EyePictures, EyeRegionSeen, EyeShares, TellEyeReport, TellEyeRequest, ToldEye, tell_eye};
pub use still::{
    PlacePrecision, SkyLabel, SkyLabelKind, StillPicture, TellStillReport, TellStillRequest, ToldStill, tell_still,
};
