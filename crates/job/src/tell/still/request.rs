use serde::{Deserialize, Serialize};

use crate::{CheckRequest, JobError, ReadForm};

/// Longest words of a person on a still, characters.
const MOST_CHARACTERS: usize = 120;

/// A frame to be shown on air or online; its bytes come beside it.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct TellStillRequest {
    /// The frame, as a check takes it.
    pub frame: CheckRequest,
    /// Columns and rows of the still that the picture covers, the way up it is shown: it is made small by whole numbers, as far as
    /// it still covers them.
    pub covers_px: [u32; 2],
    /// Whether forms are named, and constellations, stars, directions and the moon where the lens is known.
    pub annotate: bool,
    /// Forms that a reading of the night found: one that was there when the frame was taken is named instead of what the frame says
    /// by itself.
    #[serde(default)]
    pub forms: Vec<ReadForm>,
    /// What the place is called, as coarsely as its owner wishes; `None` names none.
    pub place: Option<String>,
    /// How exactly the coordinates are said.
    pub place_precision: PlacePrecision,
    /// Whom to credit.
    pub credit: Option<String>,
    /// IANA time zone of the time said; UTC without.
    pub time_zone: Option<String>,
}

/// How exactly a place is told.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PlacePrecision {
    /// No coordinates.
    #[default]
    Hidden,
    /// Whole degrees: some 100 km.
    Degree,
    /// Tenths: some 10 km.
    Tenth,
}

impl TellStillRequest {
    /// Checks everything the types cannot.
    ///
    /// # Errors
    ///
    /// Words that are too long, an unknown time zone, what [`CheckRequest::check`] refuses.
    pub fn check(&self) -> Result<(), JobError> {
        self.frame.check()?;
        for side in self.covers_px {
            JobError::check("covers_px", f64::from(side), 64.0, 4096.0, "px")?;
        }
        check_words(&[("place", &self.place), ("credit", &self.credit)])?;
        self.zone().map(|_zone| ())
    }

    /// The clock of the time said.
    pub(super) fn zone(&self) -> Result<jiff::tz::TimeZone, JobError> {
        let Some(name) = &self.time_zone else { return Ok(jiff::tz::TimeZone::UTC) };
        jiff::tz::TimeZone::get(name).map_err(|_cause| JobError::UnknownTimeZone { name: name.clone() })
    }
}

/// Says whether words of a person fit into a caption.
///
/// # Errors
///
/// Too many letters.
pub(in crate::tell) fn check_words(fields: &[(&str, &Option<String>)]) -> Result<(), JobError> {
    for (field, words) in fields {
        if words.as_ref().is_some_and(|words| words.chars().count() > MOST_CHARACTERS) {
            return Err(JobError::bad(
                *field,
                "it has too many letters for a caption",
                format!("give {MOST_CHARACTERS} at most"),
            ));
        }
    }
    Ok(())
}
