//! `quietarc site import`

use std::path::Path;

use job::Site;
use journal::Journal;
use quantity::GeoPosition;

use crate::cli::SiteImportArgs;
use crate::commands::{open_journal, read};
use crate::failure::{Failure, Outcome};
use crate::keeping::{ImportReport, import};
use crate::output;

pub(super) fn run(arguments: &SiteImportArgs) -> Result<Outcome, Failure> {
    check_zone(&arguments.time_zone)?;
    let mut journal = open_journal(&arguments.journal)?;
    let mut reports = Vec::new();
    let mut broken = 0;
    for path in &arguments.files {
        match one(path, &mut journal, &arguments.time_zone) {
            Ok(report) => reports.push(report),
            // of a single file that cannot be used the request was wrong; among several the others go on
            Err(failure) if arguments.files.len() == 1 => return Err(failure),
            Err(Failure { message, hint, .. }) => {
                broken += 1;
                output::note(&format!("error: {message}\nhint: {hint}"));
            }
        }
    }
    if arguments.json {
        output::json(&reports)?;
    } else {
        for report in &reports {
            output::answer(&text(report))?;
        }
    }
    for report in &reports {
        say(report);
    }
    let failed = broken + reports.iter().map(|report| report.failed.len()).sum::<usize>();
    let of = broken + reports.iter().map(ImportReport::places).sum::<usize>();
    Ok(if failed == 0 { Outcome::Done } else { Outcome::SomeFailed { failed, of } })
}

fn one(path: &Path, journal: &mut Journal, time_zone: &str) -> Result<ImportReport, Failure> {
    let found = feeds::places::parse_places(&read(path)?, &path.display().to_string())?;
    Ok(import(journal, &found, time_zone)?)
}

fn check_zone(time_zone: &str) -> Result<(), Failure> {
    let anywhere = Site { time_zone: time_zone.to_owned(), ..Site::bare("", GeoPosition::new(0.0, 0.0, 0.0)?) };
    anywhere.zone()?;
    Ok(())
}

fn text(report: &ImportReport) -> String {
    let mut words = vec![format!("{}: {} kept", report.file, report.added.len())];
    if !report.already_there.is_empty() {
        words.push(format!("{} already there", report.already_there.len()));
    }
    if !report.failed.is_empty() {
        words.push(format!("{} left out", report.failed.len()));
    }
    let mut lines = vec![words.join(", ")];
    lines.extend(report.added.iter().map(|name| format!("  kept           {name}")));
    lines.extend(report.already_there.iter().map(|name| format!("  already there  {name}")));
    lines.join("\n")
}

/// Names what was left out, and what wants a look.
fn say(report: &ImportReport) {
    for item in &report.failed {
        output::note(&format!("{}, {}: {}; {}", report.file, item.place, item.reason, item.remedy));
    }
    for remark in &report.remarks {
        output::note(&format!("note: {}, {remark}", report.file));
    }
}
