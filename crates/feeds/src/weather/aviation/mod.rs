//! Coded reports of aerodromes: METAR and SPECI (observations), TAF (forecasts).
//!
//! The raw text is read; the JSON in which services wrap it is only its carrier. Code form: WMO No. 306, FM 15, 16
//! and 51, and the practice of the United States and Canada (miles, `CLR`, `FM` groups).
//!
//! What the words of no cloud mean here: `CLR` (an instrument of the US saw nothing below 12 000 ft), `NCD` (an
//! instrument detected nothing), `NSC` (nothing that matters to aircraft) and `CAVOK` (nothing below 5000 ft) say that
//! there is no *low* cloud, and nothing about cirrus or altocumulus. `SKC` is a person's word for a clear sky. Slashes
//! are an instrument that failed: unknown. No cloud group at all is unknown too.
//!
//! **What it does not do:** remarks (`RMK`) and the trend behind an observation are kept as text, not read.

mod cloud;
mod conditions;
mod fold;
mod instant;
mod metar;
mod place;
mod reports;
mod taf;
mod visibility;
mod wind;

pub use cloud::{ClearWord, CloudAmount, CloudLayer, Sky};
pub use conditions::Conditions;
pub use metar::{Metar, MetarKind, parse_metar};
pub use reports::{AviationReports, parse_aviation_reports};
pub use taf::{Taf, TafChange, TafGroup, TafRevision, TafState, parse_taf};
pub use visibility::{Visibility, VisibilityBound};
pub use wind::Wind;

/// A group of a report: a value, or the word that nothing was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Measured<T> {
    Value(T),
    Missing,
}

impl<T> Measured<T> {
    pub(crate) fn value(self) -> Option<T> {
        match self {
            Self::Value(value) => Some(value),
            Self::Missing => None,
        }
    }
}
