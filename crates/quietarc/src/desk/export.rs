//! Copies for use: only with permission, without the sender's metadata, with credit and caption in and beside them, and put down.

use std::path::{Path, PathBuf};

use jiff::Timestamp;
use job::{DeskClaim, OwnWord};
use journal::{ExportMade, Journal, JournalError, OneUse, Submission, SubmissionId, SubmissionState};
use serde::Serialize;

use super::worker::{self, Asked, Task};
use super::{Stock, text};
use crate::Failure;
use crate::sorting::write_atomic;
use crate::telling::credit::{CreditFields, with_credit};

/// How much of the place goes with a copy.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum PlaceShown {
    /// None of it.
    #[default]
    Nothing,
    /// The sender's words.
    Words,
    /// Latitude and longitude in whole degrees: some 100 km.
    Degrees,
}

/// What is to leave.
pub(crate) struct Exporting<'a> {
    pub(crate) ids: &'a [SubmissionId],
    pub(crate) permitted_use: OneUse,
    pub(crate) folder: &'a Path,
    pub(crate) place: PlaceShown,
    pub(crate) by: &'a str,
}

/// A copy that left.
#[derive(Debug, Serialize)]
pub(crate) struct Exported {
    pub(crate) id: SubmissionId,
    pub(crate) file: PathBuf,
    pub(crate) caption: String,
}

/// What became of each that was to leave.
pub(crate) type Leavings = Vec<Result<Exported, (SubmissionId, Failure)>>;

/// Lets copies out, each on its own: what may not leave is told, and the others leave.
pub(crate) fn export(
    journal: &mut Journal,
    stock: &Stock,
    asked: &Exporting<'_>,
    now: Timestamp,
) -> Result<Leavings, Failure> {
    std::fs::create_dir_all(asked.folder).map_err(|error| fault(asked.folder, &error))?;
    let one_by_one = asked.ids.iter().zip(1..);
    Ok(one_by_one
        .map(|(id, place)| export_one(journal, stock, asked, *id, place, now).map_err(|failure| (*id, failure)))
        .collect())
}

fn export_one(
    journal: &mut Journal,
    stock: &Stock,
    asked: &Exporting<'_>,
    id: SubmissionId,
    place: u32,
    now: Timestamp,
) -> Result<Exported, Failure> {
    let submission = journal.permitted_submission(id, asked.permitted_use)?;
    let question = Asked {
        name: submission.file_name.clone(),
        task: Task::Strip,
        claim: DeskClaim::default(),
        activity: None,
        own_word: OwnWord::default(),
    };
    let answer = worker::ask(&question, &stock.original(&submission.content_hash))?;
    let (Some(copy), Some(ending)) = (answer.copies.first(), answer.said.ending.as_deref()) else {
        let problem = answer.said.problem.unwrap_or_else(|| "its worker gave nothing".to_owned());
        return Err(Failure::new(
            format!("submission {id} cannot be copied: {problem}"),
            "ask the sender for the picture as JPEG",
        ));
    };
    let ending = if ending == "png" { "png" } else { "jpg" };
    let credit = submission.editable.credit_name.clone();
    let stem = format!("{place:03}-{id}-{}", text::slug(&credit));
    let file = asked.folder.join(format!("{stem}.{ending}"));
    let beside = asked.folder.join(format!("{stem}.txt"));
    let place = place_told(&submission, asked.place);
    let caption = caption(&submission, place.as_deref());
    let copy = with_credit(copy, &credit_fields(&submission, &caption, place, asked.permitted_use))?;
    let made = ExportMade {
        exported_at: now,
        exported_by: asked.by.to_owned(),
        permitted_use: asked.permitted_use,
        destination: file.display().to_string(),
        credit,
    };
    // permission is asked again in the same breath in which the copy is put down: a withdrawal meanwhile wins
    journal.transaction(|journal| {
        journal.record_submission_export(id, &made)?;
        // the picture comes last: none is ever there that is not on record
        write_atomic(&beside, caption.as_bytes(), None, false).map_err(|error| fault(&beside, &error))?;
        write_atomic(&file, &copy, None, false).map_err(|error| fault(&file, &error))
    })?;
    if asked.permitted_use == OneUse::OnAir && submission.state != SubmissionState::Used {
        mark_used(journal, &submission, now, asked.by)?;
    }
    Ok(Exported { id, file, caption })
}

/// A person who writes at the same moment goes first; that it left is on record either way.
fn mark_used(journal: &mut Journal, submission: &Submission, now: Timestamp, by: &str) -> Result<(), Failure> {
    match journal.set_submission_state(submission.id, submission.version, SubmissionState::Used, now, by) {
        Ok(_) | Err(JournalError::Changed { .. }) => Ok(()),
        Err(error) => Err(error.into()),
    }
}

fn fault(path: &Path, error: &std::io::Error) -> Failure {
    Failure::new(format!("{} cannot be written: {error}", path.display()), "give a folder you can write to")
}

/// What is said under the picture.
fn caption(submission: &Submission, place: Option<&str>) -> String {
    let fields = &submission.editable;
    let mut lines = Vec::new();
    if !fields.caption.is_empty() {
        lines.push(fields.caption.clone());
    }
    let time = fields.claim.at.map(|at| at.strftime("%-d %B %Y, %H:%M UTC").to_string());
    let said: Vec<String> = [time, place.map(str::to_owned)].into_iter().flatten().collect();
    if !said.is_empty() {
        lines.push(format!("Sent in as: {}", said.join(", ")));
    }
    lines.push(format!("Picture: {}", fields.credit_name));
    lines.join("\n") + "\n"
}

/// What goes into the copy itself: the desk's words, never the file's own.
fn credit_fields(submission: &Submission, caption: &str, place: Option<String>, permitted: OneUse) -> CreditFields {
    let fields = &submission.editable;
    CreditFields {
        creator: Some(fields.credit_name.clone()),
        credit_line: Some(format!("Picture: {}", fields.credit_name)),
        caption: Some(caption.trim_end().to_owned()),
        date_created: fields.claim.at.map(|at| at.strftime("%Y-%m-%dT%H:%MZ").to_string()),
        place,
        instructions: Some(format!("Its sender permits to use it {}. Ask before any other use.", permitted.spoken())),
        ..CreditFields::default()
    }
}

/// As much of the place as is wanted.
fn place_told(submission: &Submission, shown: PlaceShown) -> Option<String> {
    let fields = &submission.editable;
    match shown {
        PlaceShown::Nothing => None,
        PlaceShown::Words => Some(fields.claim.place_text.clone()).filter(|words| !words.is_empty()),
        PlaceShown::Degrees => fields.claim.position.map(|place| {
            let (latitude, longitude) = (place.latitude_deg().round(), place.longitude_deg().round());
            format!(
                "about {}°{} {}°{}",
                latitude.abs(),
                if latitude < 0.0 { "S" } else { "N" },
                longitude.abs(),
                if longitude < 0.0 { "W" } else { "E" }
            )
        }),
    }
}
