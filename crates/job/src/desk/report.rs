use quantity::{Basis, Estimate};
use serde::{Deserialize, Serialize};

use super::editing::EditingMeasures;
use super::fingerprint::Fingerprint;
use super::likeness::Likeness;
use crate::CheckReport;

/// What a submission says for and against its claim.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct DeskReport {
    /// What the file is called.
    pub file: String,
    /// What speaks for the claim, what against it, and what could not be told, in a sentence or two.
    pub summary: String,
    /// The worst of the checks; copies and signs of editing do not count among them.
    pub verdict: DeskVerdict,
    /// The checks, in a fixed order.
    pub checks: Vec<DeskCheck>,
    /// Known pictures that this one looks like, the likest first; those that are different are left out.
    pub likenesses: Vec<KnownLikeness>,
    /// Measures of editing; `None` for a file that cannot be read.
    pub editing: Option<EditingMeasures>,
    /// For finding copies of it later; `None` for a file that cannot be read.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub fingerprint: Option<Fingerprint>,
    /// What the picture shows by itself: measured without any word on when and where, the file's own word included.
    pub frame: CheckReport,
}

/// What a check says of a claim.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum DeskVerdict {
    /// The claim fits. Others would fit as well: never "taken at".
    Consistent,
    /// The claim does not fit.
    Inconsistent,
    /// Neither can be said.
    CannotTell,
}

impl DeskVerdict {
    /// "consistent", "inconsistent", "cannot tell".
    pub fn words(self) -> &'static str {
        match self {
            Self::Consistent => "consistent",
            Self::Inconsistent => "inconsistent",
            Self::CannotTell => "cannot tell",
        }
    }
}

/// Which question a check asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum DeskCheckKind {
    /// Does the file's own time agree with the claim?
    FileTime,
    /// Does the file's own place agree with the claim?
    FilePlace,
    /// Is the sun where the light of the picture needs it?
    Sun,
    /// Is the moon where it must be?
    Moon,
    /// Are the stars where they must be?
    Stars,
    /// Are the planets where they must be?
    Planets,
    /// Could aurora be seen there then?
    Aurora,
    /// Is it a copy of a known picture, or cut from one?
    Copies,
    /// Are there measured signs of editing?
    Editing,
}

impl DeskCheckKind {
    /// What to call it in a row.
    pub fn words(self) -> &'static str {
        match self {
            Self::FileTime => "time in the file",
            Self::FilePlace => "place in the file",
            Self::Sun => "sun and twilight",
            Self::Moon => "moon",
            Self::Stars => "stars",
            Self::Planets => "planets",
            Self::Aurora => "aurora there and then",
            Self::Copies => "copies",
            Self::Editing => "editing",
        }
    }
}

/// One check with its reason.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct DeskCheck {
    /// Which.
    pub kind: DeskCheckKind,
    /// What it says. Copies are "inconsistent" where the picture is one, "consistent" where none is among the known ones;
    /// signs of editing are never more than "cannot tell", for they accuse nobody.
    pub verdict: DeskVerdict,
    /// Why, in a plain sentence.
    pub sentence: String,
    /// The numbers behind it.
    pub evidence: Vec<DeskEvidence>,
    /// What it rests on and what it supposes, in a sentence.
    pub basis: String,
}

/// A number behind a check.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct DeskEvidence {
    /// What it is ("sun's altitude").
    pub name: String,
    /// Its value with its 68 % range, in `unit`; `None` where it is a word.
    pub value: Option<Estimate>,
    /// Unit of the value ("degrees", "km", "h"); empty for shares and counts.
    pub unit: String,
    /// The same in words, with its unit.
    pub text: String,
}

impl DeskEvidence {
    /// A number with its error, told with so many decimals.
    pub(super) fn number(name: &str, value: Estimate, unit: &str, decimals: usize) -> Self {
        let error = 0.5 * (value.high - value.low);
        let space = if unit.is_empty() { "" } else { " " };
        let words = format!("{:.decimals$} ± {error:.decimals$}{space}{unit}", value.value);
        Self { name: name.to_owned(), value: Some(value), unit: unit.to_owned(), text: words }
    }

    /// A number computed to better than it is told.
    pub(super) fn exact(name: &str, value: f64, unit: &str, decimals: usize) -> Self {
        let space = if unit.is_empty() { "" } else { " " };
        let text = format!("{value:.decimals$}{space}{unit}");
        let half_step = 0.5 * 10f64.powf(-(decimals as f64));
        let value = Some(Estimate::symmetric(value, half_step, Basis::Model));
        Self { name: name.to_owned(), value, unit: unit.to_owned(), text }
    }

    /// A word.
    pub(super) fn word(name: &str, text: impl Into<String>) -> Self {
        Self { name: name.to_owned(), value: None, unit: String::new(), text: text.into() }
    }
}

/// A known picture that a submission looks like.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct KnownLikeness {
    /// The known picture.
    pub id: String,
    /// How they are alike.
    pub likeness: Likeness,
}
