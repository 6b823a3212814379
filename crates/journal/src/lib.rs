//! The embedded record of sites, kits, outings, predictions, readings, measured frames, submissions and bodies of feeds: one SQLite file that a person can copy.
//!
//! Every write is whole or not there at all, also when the program is killed half-way. Several writes that belong
//! together go through [`Journal::transaction`].
//!
//! **What it does not do:** no clock (times come in as arguments), no network, no rule about the sky, no check of
//! what a site or kit says beyond what the types and the table's constraints give. Pictures are not stored.
//!
//! ```
//! use journal::Journal;
//!
//! let journal = Journal::in_memory()?;
//! assert!(journal.sites()?.is_empty());
//! assert!(journal.site_named("Test bay").unwrap_err().hint().contains("site"));
//! # Ok::<(), journal::JournalError>(())
//! ```

mod error;
mod feed_bodies;
mod frames;
mod ids;
mod kits;
mod met;
mod outings;
mod predicted_windows;
mod predictions;
mod readings;
mod sites;
mod store;
mod submissions;
mod text;

pub use error::JournalError;
pub use feed_bodies::{BodyOrigin, FeedOutcome, FeedPull, FeedStanding, StoredFeed};
pub use frames::{FrameFile, OwnRating};
pub use ids::{KitId, LinkId, OutingId, PredictionId, PrintId, ReadingId, SiteId, SubmissionId};
pub use kits::StoredKit;
pub use met::Met;
pub use outings::{NewOuting, Outing, OutingSummary};
pub use predictions::PredictionSummary;
pub use readings::ReadingSummary;
pub use sites::StoredSite;
pub use store::{Journal, JournalOptions};
pub use submissions::{
    AlikePicture, Change, Claim, Consent, ConsentedUse, Door, Editable, ExportMade, ListQuestion, Listed, MadeLink,
    MeasuredSubmission, Near, NewLink, NewSubmission, OneUse, Point, PrintOf, Submission, SubmissionOutcome,
    SubmissionRow, SubmissionState,
};
