//! How a night is shown to others, and what must be said beside it.

mod account;
mod clip;

pub use account::{AccountCard, AccountMet, AccountNumber, AccountReport, AccountRequest, AccountSentence, account};
pub use clip::{
    ClipCodec, ClipColours, ClipEvenness, ClipFacts, ClipGeometry, ClipPicture, ClipReport, ClipRequest, ClipSize,
    clip_report,
};
