//! `quietarc desk take`

use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;

use journal::{Claim, Door, Journal};
use serde::Serialize;

use super::{instant, position, stock};
use crate::cli::DeskTakeArgs;
use crate::commands::{now, open_journal, read};
use crate::desk::{Arrival, Stock, Surroundings, Taken, measure_waiting, take};
use crate::failure::{Failure, Outcome};
use crate::output;
use crate::stored_feeds::settings;

/// Folders within folders that are gone into.
const DEEPEST: usize = 16;
/// Files that are taken at once.
const MOST_FILES: usize = 20_000;

/// What became of the files.
#[derive(Serialize)]
struct Report {
    taken: Vec<Taken>,
    failed: Vec<NotTaken>,
}

#[derive(Serialize)]
struct NotTaken {
    file: String,
    problem: String,
    hint: String,
}

pub(super) fn run(arguments: &DeskTakeArgs) -> Result<Outcome, Failure> {
    let files = files(&arguments.paths)?;
    let mut journal = open_journal(&arguments.journal)?;
    let stock = stock(&arguments.journal)?;
    let claim = claim(arguments)?;
    let mut report = Report { taken: Vec::new(), failed: Vec::new() };
    for file in &files {
        match one(&mut journal, &stock, arguments, &claim, file) {
            Ok(taken) => report.taken.push(taken),
            Err(failure) => report.failed.push(NotTaken {
                file: file.display().to_string(),
                problem: failure.message,
                hint: failure.hint,
            }),
        }
    }
    if arguments.json {
        output::json(&report)?;
    } else {
        output::answer(&words(&report))?;
    }
    if !arguments.no_measure {
        let never = AtomicBool::new(false);
        let mut around = Surroundings::new(settings(&arguments.settings)?);
        measure_waiting(&mut journal, &stock, &mut around, &never, &mut |id, name, problem| {
            let said = problem.map_or("measured".to_owned(), |problem| format!("could not be opened: {problem}"));
            output::note(&format!("{id:>6}  {name}: {said}"));
        })?;
    }
    let failed = report.failed.len();
    Ok(if failed == 0 { Outcome::Done } else { Outcome::SomeFailed { failed, of: files.len() } })
}

fn one(
    journal: &mut Journal,
    stock: &Stock,
    arguments: &DeskTakeArgs,
    claim: &Claim,
    file: &Path,
) -> Result<Taken, Failure> {
    let bytes = read(file)?;
    let name = file.file_name().unwrap_or_default().to_string_lossy();
    let arrival = Arrival {
        file_name: &name,
        bytes: &bytes,
        door: Door::Folder,
        link: None,
        claim: claim.clone(),
        credit_name: &arguments.credit,
        contact: &arguments.contact,
        caption: &arguments.caption,
        withdrawal_hash: None,
    };
    take(journal, stock, &arrival, now())
}

fn claim(arguments: &DeskTakeArgs) -> Result<Claim, Failure> {
    Ok(Claim {
        time_text: arguments.claim_time.clone(),
        at: instant(&arguments.claim_time),
        place_text: arguments.claim_place.clone(),
        position: position(arguments.claim_lat, arguments.claim_lon)?,
    })
}

/// The files named, and those in the folders named, by name; hidden ones are passed over.
pub(super) fn files(paths: &[PathBuf]) -> Result<Vec<PathBuf>, Failure> {
    let mut found = Vec::new();
    for path in paths {
        if path.is_dir() {
            below(path, 0, &mut found)?;
        } else {
            found.push(path.clone());
        }
    }
    if found.len() > MOST_FILES {
        return Err(Failure::new(format!("{} files are too many at once", found.len()), "take a folder at a time"));
    }
    if found.is_empty() {
        return Err(Failure::new("there is no file in there", "name pictures, or folders that hold some"));
    }
    Ok(found)
}

fn below(folder: &Path, depth: usize, found: &mut Vec<PathBuf>) -> Result<(), Failure> {
    let fault = |error: std::io::Error| {
        Failure::new(format!("{} cannot be read: {error}", folder.display()), "give the path of a readable folder")
    };
    let mut entries: Vec<_> = std::fs::read_dir(folder).map_err(fault)?.collect::<Result<_, _>>().map_err(fault)?;
    entries.sort_by_key(std::fs::DirEntry::file_name);
    for entry in entries {
        // links are not followed: they may lead anywhere
        let kind = entry.file_type().map_err(fault)?;
        let is_hidden = entry.file_name().as_encoded_bytes().starts_with(b".");
        if is_hidden {
            continue;
        }
        if kind.is_dir() && depth < DEEPEST {
            below(&entry.path(), depth + 1, found)?;
        } else if kind.is_file() {
            found.push(entry.path());
        }
    }
    Ok(())
}

fn words(report: &Report) -> String {
    let new = report.taken.iter().filter(|taken| !taken.was_here).count();
    let mut lines = vec![format!("{new} taken in, {} were here already", report.taken.len() - new)];
    for taken in &report.taken {
        let known = if taken.was_here {
            " (was here already)".to_owned()
        } else if let Some(first) = taken.same_as.first() {
            format!(" (the same picture as {first})")
        } else {
            String::new()
        };
        lines.push(format!("{:>6}  {}{known}", taken.id, taken.file_name));
    }
    for failed in &report.failed {
        lines.push(format!("     -  {}\n        {}", failed.problem, failed.hint));
    }
    lines.join("\n")
}
