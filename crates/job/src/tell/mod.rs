//! How a night is shown to others: what a person saw, what is made of its frames, and what must be said beside it.

mod account;
mod clip;
mod eye;
mod still;

pub use account::{AccountCard, AccountMet, AccountNumber, AccountReport, AccountRequest, AccountSentence, account};
pub use clip::{
    ClipCodec, ClipColours, ClipEvenness, ClipFacts, ClipGeometry, ClipPicture, ClipReport, ClipRequest, ClipSize,
    clip_report,
};
pub use eye::{EyePictures, EyeRegionSeen, EyeShares, TellEyeReport, TellEyeRequest, ToldEye, tell_eye};
pub use still::{
    PlacePrecision, SkyLabel, SkyLabelKind, StillPicture, TellStillReport, TellStillRequest, ToldStill, tell_still,
};
