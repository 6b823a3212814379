//! `quietarc sort`

use std::collections::HashMap;
use std::fs::File;
use std::io::{BufWriter, IsTerminal};
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;
use std::time::{Duration, Instant};

use jiff::civil::DateTime;
use jiff::tz::TimeZone;
use job::{CheckRequest, CheckedScene, ClockCorrection, FrameVerdict, MeasuredFrame, SortReport, SortRequest};
use quantity::GeoPosition;

use super::{open_journal, required};
use crate::cli::SortArgs;
use crate::failure::{Failure, Outcome};
use crate::sorting::{
    Delivery, Fault, FoundFile, Gathered, Gathering, RatingWish, Table, deliver, gather, sidecars, write_ratings,
};
use crate::{output, present_sort};

/// How often progress is said: to a person, and into a log.
const SAID_EVERY: (Duration, Duration) = (Duration::from_secs(2), Duration::from_secs(30));

pub(super) fn run(arguments: &SortArgs) -> Result<Outcome, Failure> {
    let mut request = request(arguments)?;
    let mut journal = open_journal(&arguments.journal)?;
    let site = arguments.site.as_deref().map(|name| journal.site_named(name)).transpose()?.map(|stored| stored.site);
    let kit = arguments.kit.as_deref().map(|name| journal.kit_named(name)).transpose()?.map(|stored| stored.kit);
    request.position = match (&site, arguments.place.lat, arguments.place.lon) {
        (Some(site), _, _) => Some(site.position),
        (None, None, None) => None,
        (None, lat, lon) => {
            Some(GeoPosition::new(required(lat, "--lat")?, required(lon, "--lon")?, arguments.place.elev)?)
        }
    };
    request.check()?;
    let zone = zone(arguments, site.as_ref().map(|site| site.time_zone.as_str()))?;
    // files are known by their paths: one folder has one, wherever the program is started
    let folder = arguments.folder.canonicalize().map_err(|error| {
        Failure::new(
            format!("{} cannot be read: {error}", arguments.folder.display()),
            "give the folder of the night's frames",
        )
    })?;
    let stop = AtomicBool::new(false);
    let gathering = Gathering {
        folder: &folder,
        asked: CheckRequest { kit, position: request.position, ..CheckRequest::default() },
        full_raw: arguments.full_raw,
        workers: arguments.workers.unwrap_or_else(processors),
        stop: &stop,
    };
    gathering.asked.check()?;
    let started = Instant::now();
    let mut said = Instant::now();
    let every = if std::io::stderr().is_terminal() { SAID_EVERY.0 } else { SAID_EVERY.1 };
    let gathered = gather(&mut journal, &gathering, &mut |progress| {
        if said.elapsed() >= every {
            said = Instant::now();
            output::note(&progress.words());
        }
    })?;
    request.utc_offset_s = zone.and_then(|zone| offset(&gathered.frames, &zone));
    let report = job::sort(&request, &gathered.frames);

    let mut faults = gathered.faults.clone();
    let mut done: Vec<String> = vec![present_sort::took(&gathered, started.elapsed())];
    let matched = Matched::new(&report, &gathered);
    if arguments.ratings {
        let wishes = wishes(&report, &matched);
        let rated = write_ratings(&mut journal, &wishes, arguments.overwrite_ratings);
        done.push(present_sort::rated(&rated));
        faults.extend(rated.faults);
    }
    let delivery = match (&arguments.copy_to, &arguments.link_to) {
        (Some(into), _) => Some((Delivery::Copy, into)),
        (None, Some(into)) => Some((Delivery::Link, into)),
        (None, None) => None,
    };
    if let Some((how, into)) = delivery {
        let delivered = deliver(how, &keepers(&report, &matched), &folder, into)?;
        done.push(present_sort::delivered(how, &delivered, into));
        faults.extend(delivered.faults);
    }
    save_tables(arguments, &report, &mut done)?;

    if arguments.json {
        output::json(&report)?;
    } else {
        output::answer(&present_sort::sort(&report, &done))?;
    }
    for fault in &faults {
        output::note(&fault.line());
    }
    Ok(outcome(&report, &faults))
}

/// Files that cannot be read are failures of a batch; so is what could not be written.
fn outcome(report: &SortReport, faults: &[Fault]) -> Outcome {
    let unreadable =
        report.frames.iter().filter(|frame| frame.measures.scene == Some(CheckedScene::Unreadable)).count();
    let failed = unreadable.max(faults.len());
    if failed == 0 { Outcome::Done } else { Outcome::SomeFailed { failed, of: report.frames.len().max(failed) } }
}

fn processors() -> usize {
    std::thread::available_parallelism().map_or(1, usize::from)
}

fn request(arguments: &SortArgs) -> Result<SortRequest, Failure> {
    let mut request = SortRequest { keep: arguments.keep, ..SortRequest::default() };
    for text in &arguments.clock {
        if text.eq_ignore_ascii_case("stars") {
            request.clock_from_stars = true;
        } else {
            request.clock.push(correction(text)?);
        }
    }
    Ok(request)
}

/// "+37s", "-1h", "D850=+37s".
fn correction(text: &str) -> Result<ClockCorrection, Failure> {
    let (camera, span) = match text.rsplit_once('=') {
        Some((camera, span)) => (Some(camera.trim().to_owned()), span.trim()),
        None => (None, text.trim()),
    };
    let (sign, plain) = match (span.strip_prefix('-'), span.strip_prefix('+')) {
        (Some(plain), _) => (-1.0, plain),
        (None, Some(plain)) => (1.0, plain),
        (None, None) => (1.0, span),
    };
    let duration: jiff::SignedDuration = plain.parse().map_err(|_cause| {
        Failure::new(
            format!("the correction {text:?} is not understood"),
            "give --clock +37s, -1h, 2m10s or CAMERA=+37s",
        )
    })?;
    Ok(ClockCorrection { camera, seconds: sign * duration.as_secs_f64() })
}

fn zone(arguments: &SortArgs, of_site: Option<&str>) -> Result<Option<TimeZone>, Failure> {
    let name = arguments.time_zone.as_deref().or(of_site);
    let named = name.map(|name| {
        TimeZone::get(name).map_err(|_cause| {
            Failure::new(format!("time zone {name:?} is not known"), "give an IANA name such as Europe/Oslo or UTC")
        })
    });
    named.transpose()
}

/// How far the zone is ahead of UTC when the first of the frames without a zone was taken, s.
fn offset(frames: &[MeasuredFrame], zone: &TimeZone) -> Option<i32> {
    let locals = frames.iter().filter_map(|frame| frame.report.taken.as_ref()).filter(|taken| taken.utc.is_none());
    let first: DateTime = locals.filter_map(|taken| taken.local.as_ref()?.parse().ok()).min()?;
    zone.to_ambiguous_timestamp(first).compatible().ok().map(|at| zone.to_offset(at).seconds())
}

/// The files of each frame of the report, and where its rating goes.
struct Matched<'a> {
    files: Vec<&'a [FoundFile]>,
    sidecars: Vec<PathBuf>,
}

impl<'a> Matched<'a> {
    fn new(report: &SortReport, gathered: &'a Gathered) -> Self {
        let by_name: HashMap<&str, usize> =
            gathered.frames.iter().enumerate().map(|(index, frame)| (frame.name.as_str(), index)).collect();
        let all = sidecars(&gathered.files);
        let index = |name: &str| by_name.get(name).copied();
        let files = report
            .frames
            .iter()
            .map(|frame| index(&frame.name).map_or(&[][..], |index| gathered.files[index].as_slice()))
            .collect();
        let sidecars = report
            .frames
            .iter()
            .map(|frame| index(&frame.name).and_then(|index| all.get(index).cloned()).unwrap_or_default())
            .collect();
        Self { files, sidecars }
    }
}

/// Ratings of what could be looked at and judged.
fn wishes(report: &SortReport, matched: &Matched<'_>) -> Vec<RatingWish> {
    let frames = report.frames.iter().zip(&matched.sidecars);
    let could_be_read = frames.filter(|(frame, _sidecar)| frame.measures.scene != Some(CheckedScene::Unreadable));
    could_be_read
        .filter_map(|(frame, sidecar)| {
            Some(RatingWish { name: frame.name.clone(), sidecar: sidecar.clone(), rating: frame.rating? })
        })
        .collect()
}

fn keepers<'a>(report: &SortReport, matched: &'a Matched<'_>) -> Vec<(&'a [FoundFile], &'a Path)> {
    let places = (0..report.frames.len()).filter(|place| report.frames[*place].verdict == FrameVerdict::Keep);
    places.map(|place| (matched.files[place], matched.sidecars[place].as_path())).collect()
}

fn save_tables(arguments: &SortArgs, report: &SortReport, done: &mut Vec<String>) -> Result<(), Failure> {
    if arguments.csv.is_none() && arguments.parquet.is_none() {
        return Ok(());
    }
    let table = Table::of(report);
    if let Some(path) = &arguments.csv {
        let fault = |error: &dyn std::fmt::Display| cannot_save(path, error);
        let file = File::create(path).map_err(|error| fault(&error))?;
        table.write_csv(BufWriter::new(file)).map_err(|error| fault(&error))?;
        done.push(format!("table of {} frames: {}", table.rows, path.display()));
    }
    if let Some(path) = &arguments.parquet {
        save_parquet(path, &table)?;
        done.push(format!("Parquet of {} frames: {}", table.rows, path.display()));
    }
    Ok(())
}

fn cannot_save(path: &Path, error: &dyn std::fmt::Display) -> Failure {
    Failure::new(
        format!("{} cannot be written: {error}", path.display()),
        "give a path in a folder you can write to, with room on its disk",
    )
}

#[cfg(feature = "parquet")]
fn save_parquet(path: &Path, table: &Table) -> Result<(), Failure> {
    let file = File::create(path).map_err(|error| cannot_save(path, &error))?;
    crate::sorting::write_parquet(table, file).map_err(|error| cannot_save(path, &error))
}

#[cfg(not(feature = "parquet"))]
fn save_parquet(path: &Path, _table: &Table) -> Result<(), Failure> {
    Err(Failure::new(
        format!("{} cannot be written: this program was built without Parquet", path.display()),
        "use --csv, or build with the feature parquet",
    ))
}
