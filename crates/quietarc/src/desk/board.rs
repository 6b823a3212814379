//! What the board shows and what is changed on it: one way for the page and for the command line.

use jiff::Timestamp;
use journal::{
    AlikePicture, Change, Editable, Journal, JournalError, ListQuestion, Near, Submission, SubmissionId,
    SubmissionOutcome, SubmissionRow, SubmissionState,
};
use serde::{Deserialize, Serialize};

use super::surroundings::with_copies;
use super::{block, coarse, line};
use crate::Failure;

/// Lines of the list at once, at most.
const MOST_ROWS: u32 = 500;
/// Farthest that may be asked around a place, km: beyond that the flat measure no longer holds.
const FARTHEST_KM: f64 = 2_000.0;

/// Which submissions, as a person asks for them.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Asked {
    pub(crate) state: Option<SubmissionState>,
    pub(crate) outcome: Option<SubmissionOutcome>,
    pub(crate) form: Option<String>,
    pub(crate) claimed_from: Option<Timestamp>,
    pub(crate) claimed_to: Option<Timestamp>,
    /// Around the claimed place of this submission.
    pub(crate) near: Option<i64>,
    pub(crate) within_km: Option<f64>,
    pub(crate) text: String,
    pub(crate) from: u32,
    pub(crate) most: Option<u32>,
}

/// How far around a place it is looked where nobody says, km.
const USUAL_KM: f64 = 100.0;

impl Asked {
    /// The question to the journal.
    ///
    /// # Errors
    ///
    /// The submission asked around has no place, or is none; a distance out of range.
    pub(crate) fn question(self, journal: &Journal) -> Result<ListQuestion, Failure> {
        let near = self.near.map(|id| near(journal, id, self.within_km.unwrap_or(USUAL_KM))).transpose()?;
        Ok(ListQuestion {
            state: self.state,
            outcome: self.outcome,
            text: self.text,
            form: self.form.filter(|form| !form.is_empty()),
            claimed_from: self.claimed_from,
            claimed_to: self.claimed_to,
            near,
            from: self.from,
            most: self.most.unwrap_or(MOST_ROWS).min(MOST_ROWS),
        })
    }
}

fn near(journal: &Journal, id: i64, within_km: f64) -> Result<Near, Failure> {
    let place = journal.submission(SubmissionId::new(id))?.editable.claim.position;
    let place = place.ok_or_else(|| {
        Failure::new(
            format!("submission {id} has no place to look around"),
            "choose one that has, or write its place down",
        )
    })?;
    if !(within_km > 0.0 && within_km <= FARTHEST_KM) {
        return Err(Failure::new(
            format!("{within_km} km around a place cannot be asked"),
            format!("give more than 0 and {FARTHEST_KM} km at most"),
        ));
    }
    Ok(Near { place, within_km })
}

/// A submission with its record of changes, and the pictures that it looks like.
#[derive(Debug, Serialize)]
pub(crate) struct Whole {
    #[serde(flatten)]
    pub(crate) submission: Submission,
    pub(crate) changes: Vec<Change>,
    pub(crate) alike: Vec<AlikePicture>,
    /// Whether the place is rounded.
    pub(crate) is_place_coarse: bool,
}

/// A submission, its place rounded unless asked for exactly.
///
/// # Errors
///
/// No such submission; the journal cannot be read.
pub(crate) fn whole(journal: &Journal, id: SubmissionId, exact: bool) -> Result<Whole, JournalError> {
    let mut submission = journal.submission(id)?;
    let mut changes = journal.submission_changes(id)?;
    let alike = journal.alike(id)?;
    if let Some(evidence) = &mut submission.evidence {
        with_copies(evidence, journal.submission_print(id)?.as_ref(), journal.print_count()?, &alike);
    }
    if !exact {
        coarse(&mut submission, &mut changes);
    }
    Ok(Whole { submission, changes, alike, is_place_coarse: !exact })
}

/// The fields of a submission, by a person who has seen this version.
#[derive(Debug, Deserialize)]
pub(crate) struct Edited {
    pub(crate) version: i64,
    #[serde(default)]
    pub(crate) by: String,
    pub(crate) fields: Editable,
    /// The place was shown rounded: it stays as it was given.
    #[serde(default)]
    pub(crate) keeps_position: bool,
}

/// Writes the fields that a person may change.
///
/// # Errors
///
/// Somebody has changed it since; no such submission, a withdrawn one.
pub(crate) fn edit(
    journal: &mut Journal,
    id: SubmissionId,
    edited: Edited,
    now: Timestamp,
) -> Result<i64, JournalError> {
    let mut fields = cleaned(edited.fields);
    if edited.keeps_position {
        fields.claim.position = journal.submission(id)?.editable.claim.position;
    }
    journal.edit_submission(id, edited.version, &fields, now, &writer(&edited.by))
}

fn cleaned(fields: Editable) -> Editable {
    let mut claim = fields.claim;
    claim.time_text = line(&claim.time_text);
    claim.place_text = line(&claim.place_text);
    Editable {
        claim,
        credit_name: line(&fields.credit_name),
        contact: line(&fields.contact),
        caption: block(&fields.caption),
        notes: block(&fields.notes),
    }
}

/// Who writes, where nobody said.
pub(crate) fn writer(by: &str) -> String {
    let by = line(by);
    if by.is_empty() { "desk".to_owned() } else { by }
}

/// What is done to the order for air.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Reorder {
    /// To the end of it; what is there already stays where it is.
    Add(Vec<SubmissionId>),
    /// Out of it.
    Remove(Vec<SubmissionId>),
    /// To this place, from 1.
    Move(SubmissionId, usize),
}

impl Reorder {
    /// The order that comes of one.
    ///
    /// # Errors
    ///
    /// One that is to be moved or removed is not in it.
    pub(crate) fn of(&self, seen: &[SubmissionId]) -> Result<Vec<SubmissionId>, Failure> {
        let inside = |id: &SubmissionId| {
            seen.contains(id).then_some(()).ok_or_else(|| {
                Failure::new(format!("submission {id} is not in the rundown"), "quietarc desk rundown lists what is")
            })
        };
        let mut to = seen.to_vec();
        match self {
            Self::Add(ids) => {
                for id in ids {
                    if !to.contains(id) {
                        to.push(*id);
                    }
                }
            }
            Self::Remove(ids) => {
                ids.iter().try_for_each(inside)?;
                to.retain(|id| !ids.contains(id));
            }
            Self::Move(id, place) => {
                inside(id)?;
                to.retain(|other| other != id);
                to.insert(place.saturating_sub(1).min(to.len()), *id);
            }
        }
        Ok(to)
    }
}

/// Sets the order for air by a person who has seen another one; gives its lines.
///
/// # Errors
///
/// Somebody has changed it since; one that may not be shown on air.
pub(crate) fn set_rundown(
    journal: &mut Journal,
    seen: &[SubmissionId],
    to: &[SubmissionId],
    now: Timestamp,
    by: &str,
) -> Result<Vec<SubmissionRow>, JournalError> {
    journal.set_rundown(seen, to, now, &writer(by))?;
    journal.rundown_rows()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_order_takes_each_once_and_keeps_the_others() {
        let ids = |numbers: &[i64]| numbers.iter().map(|number| SubmissionId::new(*number)).collect::<Vec<_>>();
        let seen = ids(&[3, 1, 2]);
        let after = |change: Reorder| change.of(&seen).unwrap();
        assert_eq!(after(Reorder::Add(ids(&[1, 9, 9]))), ids(&[3, 1, 2, 9]));
        assert_eq!(after(Reorder::Remove(ids(&[1]))), ids(&[3, 2]));
        assert_eq!(after(Reorder::Move(SubmissionId::new(2), 1)), ids(&[2, 3, 1]));
        assert_eq!(after(Reorder::Move(SubmissionId::new(3), 99)), ids(&[1, 2, 3]));
        assert!(Reorder::Remove(ids(&[7])).of(&seen).is_err());
    }
}
