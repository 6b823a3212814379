//! What did a person see, and how is it shown?

mod eye;

pub use eye::{EyePictures, EyeRegionSeen, EyeShares, TellEyeReport, TellEyeRequest, ToldEye, tell_eye};
