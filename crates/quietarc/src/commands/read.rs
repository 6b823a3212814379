//! `quietarc read`

use std::path::{Path, PathBuf};

use draw::{KeogramStyle, Palette, keogram};
use job::{AssumedView, ReadKeogram, ReadReport, ReadRequest};

use super::outing_saw::find_outing;
use super::{given, journal_path, now, open_journal, open_journal_if_there, save_picture};
use crate::cli::ReadArgs;
use crate::failure::{Failure, Outcome};
use crate::reading::{self, Recorded, Told};
use crate::stored_feeds::{self, StoredFeeds};
use crate::table_files::{is_table, save_by_ending};
use crate::{out_file, output};

/// Widest offset of a time zone, hours.
const WIDEST_OFFSET_H: f64 = 26.0;

pub(super) fn run(arguments: &ReadArgs) -> Result<Outcome, Failure> {
    for out in [&arguments.keogram, &arguments.ewogram].into_iter().flatten() {
        out_file::is_no_input(out, arguments.inputs.iter().map(PathBuf::as_path))?;
    }
    // a slip must not put a table in the place of a picture, and is said before hours of reading
    arguments.csv.as_deref().map_or(Ok(()), |path| is_table(path, "csv"))?;
    let request = request(arguments)?;
    // an outing that is not there is said before hours of reading
    let outing = match &arguments.save {
        Some(name) => Some(find_outing(&open_journal(&arguments.journal)?, name)?),
        None => None,
    };
    let magnetogram = match &arguments.magnetogram {
        Some(path) => Some(feeds::magnetometer::parse_magnetogram(&super::read(path)?, &path.display().to_string())?),
        None => None,
    };
    let told = Told { utc_offset_s: offset_s(arguments.utc_offset)?, start: arguments.start };
    let settings = stored_feeds::settings(&arguments.settings)?;
    let space = |span| {
        let Some(journal) = open_journal_if_there(&arguments.journal)? else { return Ok(None) };
        StoredFeeds::new(&journal, &settings, now()).beside_frames(span).map(Some)
    };
    let recorded = Recorded { magnetogram: magnetogram.as_ref(), space: &space };
    let keeping = journal_path(&arguments.journal).ok().and_then(|journal| reading::keeping_beside(&journal));
    let report = reading::read(&arguments.inputs, request, told, &recorded, keeping.as_deref())?;
    for (path, found) in [(&arguments.keogram, &report.keogram), (&arguments.ewogram, &report.ewogram)] {
        if let Some(path) = path {
            save_keogram(path, found.as_ref(), &report)?;
        }
    }
    if let Some(path) = &arguments.csv {
        out_file::write(path, &reading::light_table(&report)?)?;
    }
    if let Some(path) = &arguments.table {
        save_by_ending(path, &reading::table(&report, drawn(report.keogram.as_ref(), &report)?))?;
    }
    if let Some(path) = &arguments.spectra {
        save_by_ending(path, &reading::spectra_table(&report))?;
    }
    if let Some(path) = &arguments.periods {
        save_by_ending(path, &reading::periods_table(&report))?;
    }
    if let Some((outing, _)) = &outing {
        open_journal(&arguments.journal)?.record_reading(*outing, now(), &report)?;
    }
    if arguments.json {
        output::json(&report)?;
    } else {
        let kept = outing.map_or(String::new(), |(outing, title)| format!("\nkept with outing {outing}, {title}"));
        output::answer(&format!("{}{kept}", words(&report)))?;
    }
    let [read, skipped] = [report.frames.read, report.frames.skipped].map(|count| usize::try_from(count).unwrap_or(0));
    Ok(if skipped == 0 { Outcome::Done } else { Outcome::SomeFailed { failed: skipped, of: read + skipped } })
}

fn request(arguments: &ReadArgs) -> Result<ReadRequest, Failure> {
    let position = given::position(arguments.site.as_deref(), &arguments.place, &arguments.journal)?;
    let kit = given::kit_named(arguments.kit.as_deref(), &arguments.journal)?;
    Ok(ReadRequest {
        position,
        height_km: arguments.height_km,
        height_sigma_km: arguments.height_sigma_km,
        azimuth_deg: arguments.azimuth,
        kit,
        kp: arguments.kp,
        assumed: assumed(arguments),
        ..ReadRequest::default()
    })
}

fn assumed(arguments: &ReadArgs) -> Option<AssumedView> {
    if arguments.all_sky {
        return Some(AssumedView::AllSky {
            top_azimuth_deg: arguments.top_azimuth,
            mirrored: arguments.mirrored,
            zenith_px: arguments.zenith,
            radius_px: arguments.radius,
        });
    }
    let [azimuth_deg, altitude_deg] = arguments.looking?;
    Some(AssumedView::Pointed { azimuth_deg, altitude_deg })
}

pub(crate) fn offset_s(hours: Option<f64>) -> Result<Option<i32>, Failure> {
    let Some(hours) = hours else { return Ok(None) };
    if !(-WIDEST_OFFSET_H..=WIDEST_OFFSET_H).contains(&hours) {
        return Err(Failure::new(format!("--utc-offset {hours} is no time zone"), "give hours, such as 1 or -3.5"));
    }
    #[expect(clippy::cast_possible_truncation, reason = "checked to be within 26 hours")]
    let seconds = (hours * 3600.0).round() as i32;
    Ok(Some(seconds))
}

fn drawn<'a>(keogram: Option<&'a ReadKeogram>, report: &ReadReport) -> Result<&'a ReadKeogram, Failure> {
    keogram.ok_or_else(|| {
        let why = report.lens.why_not.as_deref().unwrap_or("no frame could be read");
        Failure::new(
            format!("there is no keogram to save: {why}"),
            "give --site and --kit with a lens found by check --save-lens, or frames with more stars",
        )
    })
}

fn save_keogram(path: &Path, found: Option<&ReadKeogram>, report: &ReadReport) -> Result<(), Failure> {
    save_picture(path, &keogram(drawn(found, report)?, &report.scale_words(), &KeogramStyle { palette: Palette::Day }))
}

fn words(report: &ReadReport) -> String {
    let mut lines: Vec<String> =
        report.account.iter().map(|line| format!("{}\n    by: {}", line.words, line.basis)).collect();
    if !report.limits.is_empty() {
        lines.push("What these frames could have shown:".to_owned());
        lines.extend(report.limits.iter().map(|limit| format!("  {limit}")));
    }
    for skip in report.frames.skips.iter().take(10) {
        lines.push(format!("left out: {}: {}", skip.name, skip.reason));
    }
    lines.join("\n")
}
