//! How a night is shown to others: what a person saw, what is made of its frames, and what must be said beside it.

mod account;
mod clip;
mod credit;
mod eye;
mod sheet;
mod stack;
mod still;

pub use account::{AccountCard, AccountMet, AccountNumber, AccountReport, AccountRequest, AccountSentence, account};
pub use clip::{
    ClipCodec, ClipColours, ClipEvenness, ClipFacts, ClipGeometry, ClipPicture, ClipReport, ClipRequest, ClipSize,
    clip_report,
};
pub use credit::credited_name;
pub use eye::{EyeLineLimit, EyePictures, EyeRegionSeen, EyeShares, TellEyeReport, TellEyeRequest, ToldEye, tell_eye};
pub use sheet::{
    MapLight, MapSightline, TellKeogram, TellMap, TellSheetRequest, outlook_map, reading_keogram, reading_map,
};
pub use stack::{
    AlignedFrame, StackFacts, StackKind, StackReference, StackReport, StackRequest, StackedPicture, stack_report,
};
pub use still::{
    PlacePrecision, SkyLabel, SkyLabelKind, StillPicture, TellStillReport, TellStillRequest, ToldStill, tell_still,
};
