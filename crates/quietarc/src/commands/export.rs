//! `quietarc export`

use std::path::Path;

use draw::documents::{DocumentKind, file_name};
use job::OutlookReport;
use journal::OutingId;

use super::{open_journal, outlook, scores};
use crate::cli::{ExportArgs, ExportChoice};
use crate::failure::{Failure, Outcome};
use crate::{exports, output};

pub(super) fn run(arguments: &ExportArgs) -> Result<Outcome, Failure> {
    let kind = kind(arguments.what);
    let report = report(arguments)?;
    let document = exports::document(kind, &report)?;
    match &arguments.out {
        Some(path) => save(path, &file_name(&report, kind), &document)?,
        None => output::answer(&document)?,
    }
    Ok(Outcome::Done)
}

fn report(arguments: &ExportArgs) -> Result<OutlookReport, Failure> {
    let Some(number) = arguments.outing else {
        let report = job::outlook(outlook::request(&arguments.asked)?)?;
        return scores::with_record(report, &arguments.asked.journal);
    };
    let journal = open_journal(&arguments.asked.journal)?;
    let id = OutingId::new(number);
    let title = journal.outing(id)?.title;
    journal.latest_prediction(id)?.ok_or_else(|| {
        Failure::new(
            format!("outing {number}, {title:?}, has no prediction"),
            "ask for an outlook and keep it with --save",
        )
    })
}

fn kind(choice: ExportChoice) -> DocumentKind {
    match choice {
        ExportChoice::Card => DocumentKind::Card,
        ExportChoice::Calendar => DocumentKind::Calendar,
        ExportChoice::Gpx => DocumentKind::Gpx,
        ExportChoice::GeoJson => DocumentKind::GeoJson,
    }
}

/// Writes a document to a file, or into a folder under its own name.
fn save(path: &Path, name: &str, document: &str) -> Result<(), Failure> {
    let file = if path.is_dir() { path.join(name) } else { path.to_path_buf() };
    std::fs::write(&file, document).map_err(|error| {
        Failure::new(
            format!("{} cannot be written: {error}", file.display()),
            "give a path in a folder you can write to",
        )
    })?;
    output::note(&format!("written: {}", file.display()));
    Ok(())
}
