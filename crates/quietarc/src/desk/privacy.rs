//! Places kept coarse where they are shown, and what is taken back.

use std::path::Path;

use journal::{Change, ExportMade, Journal, Submission, SubmissionId};
use quantity::{GeoPosition, Timestamp};

use super::{Stock, text};
use crate::Failure;

/// Rounds the claimed place to tenths of a degree, some 10 km, and takes places out of the record of changes.
pub(crate) fn coarse(submission: &mut Submission, changes: &mut [Change]) {
    let claim = &mut submission.editable.claim;
    claim.position = claim.position.and_then(|place| {
        let tenth = |degrees: f64| (degrees * 10.0).round() / 10.0;
        GeoPosition::new(tenth(place.latitude_deg()), tenth(place.longitude_deg()), 0.0).ok()
    });
    for change in changes {
        super::without_places(&mut change.change);
    }
    if let Some(evidence) = &mut submission.evidence {
        super::without_places(evidence);
    }
}

/// What is taken back.
pub(crate) struct Withdrawal<'a> {
    pub(crate) words: &'a str,
    pub(crate) erase: bool,
    pub(crate) by: &'a str,
}

/// Takes a submission back; gives the copies that left before. Erasing removes those in the desk's own folder too.
pub(crate) fn withdraw(
    journal: &mut Journal,
    stock: &Stock,
    id: SubmissionId,
    asked: &Withdrawal<'_>,
    now: Timestamp,
) -> Result<Vec<ExportMade>, Failure> {
    let exports =
        journal.withdraw_submission(id, &text::block(asked.words), asked.erase, now, &text::line(asked.by))?;
    if asked.erase {
        let found = journal.submission(id)?;
        let others = found.same_content.iter().map(|other| journal.submission(*other));
        let others: Vec<Submission> = others.collect::<Result<_, _>>()?;
        // somebody else's picture of the same bytes stays theirs
        if others.iter().all(|other| other.erased_at.is_some()) {
            stock.erase(&found.content_hash)?;
        }
        for made in &exports {
            stock.erase_export(Path::new(&made.destination))?;
        }
    }
    Ok(exports)
}
