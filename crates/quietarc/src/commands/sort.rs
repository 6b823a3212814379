//! `quietarc sort`

use std::io::IsTerminal;
use std::sync::atomic::AtomicBool;
use std::time::{Duration, Instant};

use job::{CheckedScene, SortReport};
use quantity::GeoPosition;

use super::{first_failure, open_journal, required};
use crate::cli::SortArgs;
use crate::failure::{Failure, Outcome};
use crate::sorting::{Delivery, Fault, NightQuestion, PreparedNight, Table, deliver, one_line, write_ratings};
use crate::table_files::{is_table, save_csv, save_parquet};
use crate::{output, present_sort};

/// How often progress is said: to a person, and into a log.
const SAID_EVERY: (Duration, Duration) = (Duration::from_secs(2), Duration::from_secs(30));

pub(super) fn run(arguments: &SortArgs) -> Result<Outcome, Failure> {
    // a slip is said before hours of measuring
    for (path, ending) in [(&arguments.csv, "csv"), (&arguments.parquet, "parquet")] {
        path.as_deref().map_or(Ok(()), |path| is_table(path, ending))?;
    }
    let mut journal = open_journal(&arguments.journal)?;
    let place = match (arguments.place.lat, arguments.place.lon) {
        (None, None) => None,
        (lat, lon) => Some(GeoPosition::new(required(lat, "--lat")?, required(lon, "--lon")?, arguments.place.elev)?),
    };
    let night = PreparedNight::new(&journal, &question(arguments), place)?;
    let stop = AtomicBool::new(false);
    let started = Instant::now();
    let mut said = Instant::now();
    let every = if std::io::stderr().is_terminal() { SAID_EVERY.0 } else { SAID_EVERY.1 };
    let sorted = night.sorted(&mut journal, arguments.workers, &stop, &mut |step| {
        if said.elapsed() >= every {
            said = Instant::now();
            output::note(&step.progress.words());
        }
    })?;

    let mut faults = sorted.gathered.faults.clone();
    let mut done: Vec<String> = vec![present_sort::took(&sorted.gathered, started.elapsed())];
    if arguments.ratings {
        let rated = write_ratings(&mut journal, &sorted.wishes(), arguments.overwrite_ratings);
        done.push(present_sort::rated(&rated));
        faults.extend(rated.faults);
    }
    let delivery = match (&arguments.copy_to, &arguments.link_to) {
        (Some(into), _) => Some((Delivery::Copy, into)),
        (None, Some(into)) => Some((Delivery::Link, into)),
        (None, None) => None,
    };
    if let Some((how, into)) = delivery {
        let delivered = deliver(how, &sorted.keepers(), &night.folder, into)?;
        done.push(present_sort::delivered(how, &delivered, into));
        faults.extend(delivered.faults);
    }
    let report = &sorted.report;
    // a table that cannot be written takes neither the other nor the report with it
    let unsaved = save_tables(arguments, report, &mut done);

    if arguments.json {
        output::json(report)?;
    } else {
        output::answer(&present_sort::sort(report, &done))?;
    }
    for fault in &faults {
        output::note(&fault.line());
    }
    for line in undecoded(report, &faults) {
        output::note(&line);
    }
    first_failure(unsaved)?;
    Ok(outcome(report, &faults))
}

fn question(arguments: &SortArgs) -> NightQuestion {
    NightQuestion {
        folder: arguments.folder.clone(),
        site: arguments.site.clone(),
        time_zone: arguments.time_zone.clone(),
        kit: arguments.kit.clone(),
        clock: arguments.clock.clone(),
        keep: arguments.keep,
        full_raw: arguments.full_raw,
    }
}

/// Frames that could be read and hold no picture that opens, a line each, those left out that a fault names already.
fn undecoded<'a>(report: &'a SortReport, faults: &'a [Fault]) -> impl Iterator<Item = String> + 'a {
    let unreadable = report.frames.iter().filter(|frame| frame.measures.scene == Some(CheckedScene::Unreadable));
    unreadable.filter(|frame| faults.iter().all(|fault| fault.name != frame.name)).map(|frame| {
        let why = frame.reasons.first().map_or(frame.why.as_str(), |reason| reason.words.as_str());
        format!("{}: {}", one_line(&frame.name), one_line(why))
    })
}

/// Files that cannot be read are failures of a batch; so is what could not be written.
fn outcome(report: &SortReport, faults: &[Fault]) -> Outcome {
    let failed = faults.len() + undecoded(report, faults).count();
    if failed == 0 { Outcome::Done } else { Outcome::SomeFailed { failed, of: report.frames.len().max(failed) } }
}

/// Saves the tables asked for; gives what could not be saved.
fn save_tables(arguments: &SortArgs, report: &SortReport, done: &mut Vec<String>) -> Vec<Failure> {
    if arguments.csv.is_none() && arguments.parquet.is_none() {
        return Vec::new();
    }
    let table = Table::of(report);
    let saved = [
        arguments.csv.as_deref().map(|path| (save_csv(path, &table), "table", path)),
        arguments.parquet.as_deref().map(|path| (save_parquet(path, &table), "Parquet", path)),
    ];
    let mut unsaved = Vec::new();
    for (saved, what, path) in saved.into_iter().flatten() {
        match saved {
            Ok(()) => done.push(format!("{what} of {} frames: {}", table.rows, path.display())),
            Err(failure) => unsaved.push(failure),
        }
    }
    unsaved
}
