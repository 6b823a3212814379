//! `quietarc desk know`

use std::path::Path;

use journal::{Journal, OutingId, PrintOf};
use serde::Serialize;

use super::take::files;
use crate::cli::DeskKnowArgs;
use crate::commands::open_journal;
use crate::failure::{Failure, Outcome};
use crate::sorting::content_hash;
use crate::{frame_file, output};

/// What became of the frames.
#[derive(Default, Serialize)]
struct Report {
    known: usize,
    known_before: usize,
    failed: Vec<NotKnown>,
}

#[derive(Serialize)]
struct NotKnown {
    file: String,
    problem: String,
    hint: String,
}

pub(super) fn run(arguments: &DeskKnowArgs) -> Result<Outcome, Failure> {
    let files = files(&arguments.paths)?;
    let journal = open_journal(&arguments.journal)?;
    let outing = arguments.outing.map(OutingId::new);
    if let Some(outing) = outing {
        journal.outing(outing)?;
    }
    let mut report = Report::default();
    for file in &files {
        match one(&journal, outing, file) {
            Ok(true) => report.known += 1,
            Ok(false) => report.known_before += 1,
            Err(Failure { message, hint, .. }) => {
                report.failed.push(NotKnown { file: file.display().to_string(), problem: message, hint });
            }
        }
    }
    if arguments.json {
        output::json(&report)?;
    } else {
        let mut lines = vec![format!("{} frames are known now, {} were before", report.known, report.known_before)];
        lines.extend(
            report.failed.iter().map(|failed| format!("  {}: {}\n    {}", failed.file, failed.problem, failed.hint)),
        );
        output::answer(&lines.join("\n"))?;
    }
    let failed = report.failed.len();
    Ok(if failed == 0 { Outcome::Done } else { Outcome::SomeFailed { failed, of: files.len() } })
}

/// Whether it is new.
fn one(journal: &Journal, outing: Option<OutingId>, file: &Path) -> Result<bool, Failure> {
    let bytes = frame_file::read(file)?;
    let content_hash = content_hash(&bytes);
    if journal.has_frame_print(&content_hash)? {
        return Ok(false);
    }
    let print = job::fingerprint(&bytes).map_err(|error| Failure::new(error.problem.clone(), error.hint()))?;
    let name = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
    journal.record_print(&PrintOf::Frame { content_hash, name, outing }, &print)?;
    Ok(true)
}
