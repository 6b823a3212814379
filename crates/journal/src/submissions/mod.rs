//! What viewers send to a desk: taken in, claimed, measured, permitted, exported, withdrawn.

mod change;
mod consent;
mod exports;
mod links;
mod list;
mod prints;
mod rows;
mod taken;

pub use change::{Change, Editable, MeasuredSubmission};
pub use consent::{Consent, ConsentedUse, OneUse};
pub use exports::ExportMade;
pub use links::{MadeLink, NewLink};
pub use list::{ListQuestion, Listed, Near, Point};
pub use prints::{AlikePicture, PrintOf};
use quantity::{GeoPosition, Timestamp};
use serde::{Deserialize, Serialize};

use crate::{LinkId, SubmissionId};

pub(crate) const WHAT: &str = "submission";

/// One word of a closed list, the same in the journal, in JSON and on the page.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$one:meta])* $variant:ident => $text:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(rename_all = "snake_case")]
        pub enum $name {
            $($(#[$one])* $variant),+
        }

        impl $name {
            /// All of them.
            pub const ALL: &[Self] = &[$(Self::$variant),+];

            /// Its word.
            pub fn word(self) -> &'static str {
                match self {
                    $(Self::$variant => $text),+
                }
            }

            /// From its word.
            pub fn from_word(word: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|one| one.word() == word)
            }
        }
    };
}
pub(crate) use words;

words!(
    /// How far a submission has come.
    SubmissionState {
        /// Stored, not looked at.
        Received => "received",
        /// Opened, or found not to open.
        Measured => "measured",
        /// Set against its claim.
        Checked => "checked",
        /// Put aside by a person.
        Held => "held",
        /// Found fit by a person.
        Cleared => "cleared",
        /// Shown.
        Used => "used",
        /// Taken back by its sender: it leaves no more.
        Withdrawn => "withdrawn",
    }
);
words!(
    /// The way by which it came.
    Door {
        /// A folder or files of this machine.
        Folder => "folder",
        /// Dropped on the board.
        Desk => "desk",
        /// Sent by its viewer.
        Link => "link",
    }
);
words!(
    /// The worst of the checks against the claim.
    SubmissionOutcome {
        /// The claim fits.
        Consistent => "consistent",
        /// It does not.
        Inconsistent => "inconsistent",
        /// Neither can be said.
        CannotTell => "cannot_tell",
    }
);

/// What a sender says of a picture; everything may be missing.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Claim {
    /// When, in the sender's words.
    pub time_text: String,
    /// The same as an instant.
    pub at: Option<Timestamp>,
    /// Where, in the sender's words.
    pub place_text: String,
    /// The same as a place; its height is not kept.
    pub position: Option<GeoPosition>,
}

/// A picture as it is taken in.
#[derive(Debug, Clone, PartialEq)]
pub struct NewSubmission {
    /// SHA-256 of its bytes, hexadecimal.
    pub content_hash: String,
    /// What its file was called, made fit to be shown.
    pub file_name: String,
    /// By its content.
    pub media_type: String,
    /// Its size.
    pub bytes: u64,
    /// When it came.
    pub received_at: Timestamp,
    /// How.
    pub door: Door,
    /// By which link, where it came by one.
    pub link: Option<LinkId>,
    /// What its sender says.
    pub claim: Claim,
    /// Whom to name; empty where nobody said.
    pub credit_name: String,
    /// How to reach the sender.
    pub contact: String,
    /// What it shows, in the sender's words.
    pub caption: String,
    /// SHA-256 of the word by which its sender can take it back, where one was given.
    pub withdrawal_hash: Option<String>,
}

/// A submission as a whole.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Submission {
    /// Its number.
    pub id: SubmissionId,
    /// SHA-256 of its bytes, hexadecimal.
    pub content_hash: String,
    /// What its file was called, made fit to be shown.
    pub file_name: String,
    /// By its content.
    pub media_type: String,
    /// Its size.
    pub bytes: u64,
    /// When it came.
    pub received_at: Timestamp,
    /// How.
    pub door: Door,
    /// By which link.
    pub link: Option<LinkId>,
    /// How far it has come.
    pub state: SubmissionState,
    /// What may be written by hand.
    #[serde(flatten)]
    pub editable: Editable,
    /// Why it could not be opened.
    pub problem: Option<String>,
    /// Columns and rows as shown, where it could be opened.
    pub size_px: Option<[u32; 2]>,
    /// What was measured, as the worker gave it.
    pub measures: Option<serde_json::Value>,
    /// When.
    pub measured_at: Option<Timestamp>,
    /// The checks against the claim.
    pub evidence: Option<serde_json::Value>,
    /// The worst of them.
    pub outcome: Option<SubmissionOutcome>,
    /// What its aurora looks like ("rays"); none where none was found.
    pub form: Option<String>,
    /// The permission that stands.
    pub consent: Option<Consent>,
    /// When its sender took it back.
    pub withdrawn_at: Option<Timestamp>,
    /// In which words.
    pub withdrawn_words: Option<String>,
    /// When its picture was removed from this machine.
    pub erased_at: Option<Timestamp>,
    /// Its place in the rundown, from 1.
    pub rundown_place: Option<u32>,
    /// Counts changes; a writer names the one it has seen.
    pub version: i64,
    /// Copies that left.
    pub exports: Vec<ExportMade>,
    /// Others with the same bytes.
    pub same_content: Vec<SubmissionId>,
}

/// A line of the list.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SubmissionRow {
    /// Its number.
    pub id: SubmissionId,
    /// SHA-256 of its bytes, hexadecimal.
    pub content_hash: String,
    /// What its file was called, made fit to be shown.
    pub file_name: String,
    /// When it came.
    pub received_at: Timestamp,
    /// How far it has come.
    pub state: SubmissionState,
    /// When it is said to be taken.
    pub claimed_at: Option<Timestamp>,
    /// The same in words.
    pub time_text: String,
    /// Where, in words.
    pub place_text: String,
    /// Whom to name.
    pub credit_name: String,
    /// Why it could not be opened.
    pub problem: Option<String>,
    /// The worst of the checks.
    pub outcome: Option<SubmissionOutcome>,
    /// What its aurora looks like.
    pub form: Option<String>,
    /// What it may be used for.
    pub uses: Option<ConsentedUse>,
    /// Its place in the rundown, from 1.
    pub rundown_place: Option<u32>,
    /// Whether another one has the same bytes.
    pub is_repeated: bool,
    /// Whether another picture is a copy of it, or it of another.
    pub has_copy: bool,
    /// Counts changes.
    pub version: i64,
}
