//! `quietarc check`

use std::path::{Path, PathBuf};

use draw::{OverlayStyle, Palette, check_overlay};
use job::{CheckReport, CheckRequest, CheckedFrame, CheckedScene, check_with_picture, focus_run};
use quantity::Timestamp;

use super::{given, kit_from_frame, save_picture};
use crate::cli::CheckArgs;
use crate::failure::{Failure, Outcome};
use crate::{frame_file, frame_parts, out_file, output, present_check, watch};

/// Longest side of the picture in an overlay, px; a PNG is drawn at twice that, which fits a large screen.
const OVERLAY_PX: usize = 1200;
/// Side of a part that is saved pixel for pixel, px.
const CROP_PX: usize = 480;

pub(super) fn run(arguments: &CheckArgs) -> Result<Outcome, Failure> {
    let asked = request(arguments)?;
    asked.check()?;
    if let Some(folder) = &arguments.watch {
        return watch::folder(folder, |path| show(arguments, &looked_at(path, &asked).report).map(|_is_read| ()));
    }
    let saves = arguments.stars_csv.is_some() || arguments.overlay.is_some() || arguments.crops.is_some();
    if (saves || arguments.save_lens || arguments.save_sharpest) && arguments.files.len() > 1 {
        return Err(Failure::new(
            format!(
                "--stars-csv, --overlay, --crops, --save-lens and --save-sharpest are for one picture, and {} are given",
                arguments.files.len()
            ),
            "give one picture at a time",
        ));
    }
    for out in [&arguments.stars_csv, &arguments.overlay, &arguments.crops].into_iter().flatten() {
        out_file::is_no_input(out, arguments.files.iter().map(PathBuf::as_path))?;
    }
    let rings = rings(arguments)?;
    let mut series = Vec::new();
    let mut failed = 0;
    for (path, ring) in arguments.files.iter().zip(rings) {
        let checked = looked_at(path, &asked);
        if let Some(table) = &arguments.stars_csv {
            save_stars(table, &checked)?;
        }
        if let Some(picture) = &arguments.overlay
            && let Some(svg) = check_overlay(&checked, &OverlayStyle { palette: Palette::Day })
        {
            save_picture(picture, &svg)?;
        }
        failed += usize::from(!show(arguments, &checked.report)?);
        if let Some(picture) = &arguments.crops {
            save_crops(arguments, picture, path, &checked.report)?;
        }
        if let Some(kit) = &arguments.kit {
            kit_from_frame::keep(arguments, kit, &checked.report)?;
        }
        if arguments.focus_series {
            series.push((ring, checked.report));
        }
    }
    if arguments.focus_series {
        let run = focus_run(series.iter().map(|(ring, report)| (*ring, report)));
        if arguments.json {
            output::json_line(&serde_json::json!({ "focus_series": run }))?;
        } else {
            output::answer(&present_check::focus_series(&run))?;
        }
    }
    Ok(if failed == 0 { Outcome::Done } else { Outcome::SomeFailed { failed, of: arguments.files.len() } })
}

/// Place of the focus ring for each file.
fn rings(arguments: &CheckArgs) -> Result<Vec<f64>, Failure> {
    if arguments.ring.is_empty() {
        return Ok((1u32..).map(f64::from).take(arguments.files.len()).collect());
    }
    if arguments.ring.len() != arguments.files.len() || !arguments.ring.iter().all(|ring| ring.is_finite()) {
        return Err(Failure::new(
            format!("--ring names {} places for {} files", arguments.ring.len(), arguments.files.len()),
            "give one number a file, in the same order",
        ));
    }
    Ok(arguments.ring.clone())
}

fn request(arguments: &CheckArgs) -> Result<CheckRequest, Failure> {
    let position = given::position(arguments.site.as_deref(), &arguments.place, &arguments.journal)?;
    let kit = given::kit_named(arguments.kit.as_deref(), &arguments.journal)?;
    Ok(CheckRequest {
        kit,
        position,
        at: arguments.at,
        now: Some(Timestamp::now()),
        sharpest_hfd_px: arguments.sharpest,
        ..CheckRequest::default()
    })
}

/// One file; a file that cannot be read gives a report that says so.
fn looked_at(path: &Path, asked: &CheckRequest) -> CheckedFrame {
    let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned();
    match frame_file::read(path) {
        Ok(bytes) => check_with_picture(&CheckRequest { name, ..asked.clone() }, &bytes, OVERLAY_PX),
        Err(Failure { message, hint, .. }) => CheckedFrame::unreadable(job::unreadable_frame(&name, &message, &hint)),
    }
}

/// Prints a report; whether the file could be read.
fn show(arguments: &CheckArgs, report: &CheckReport) -> Result<bool, Failure> {
    if arguments.json {
        output::json_line(report)?;
    } else {
        let many = arguments.files.len() != 1;
        output::answer(&present_check::check(report, many))?;
    }
    Ok(report.scene != CheckedScene::Unreadable)
}

/// Saves the sharpest and the softest part side by side. A file that cannot be read has said so already.
fn save_crops(arguments: &CheckArgs, picture: &Path, path: &Path, report: &CheckReport) -> Result<(), Failure> {
    if report.scene == CheckedScene::Unreadable {
        return Ok(());
    }
    if picture.extension().is_none_or(|ending| ending != "png") {
        return Err(Failure::new(format!("{} does not end in .png", picture.display()), "end the name in .png"));
    }
    let (png, words) = frame_parts::png(&frame_file::read(path)?, report, CROP_PX, Palette::Day)?;
    out_file::write(picture, &png)?;
    if !arguments.json {
        output::answer(&format!("{words}: side by side in {}", picture.display()))?;
    }
    Ok(())
}

fn save_stars(path: &Path, checked: &CheckedFrame) -> Result<(), Failure> {
    let fault = |error: &dyn std::fmt::Display| {
        Failure::new(
            format!("{} cannot be written: {error}", path.display()),
            "give a path in a folder you can write to",
        )
    };
    let mut table = csv::Writer::from_path(path).map_err(|error| fault(&error))?;
    table
        .write_record(["x_px", "y_px", "flux", "fwhm_px", "hfd_px", "elongation", "angle_deg"])
        .map_err(|error| fault(&error))?;
    for star in &checked.stars {
        let flux = format!("{:.6e}", star.flux);
        let [x, y, fwhm, hfd, elongation] =
            [star.x_px, star.y_px, star.fwhm_px, star.hfd_px, star.elongation].map(|value| format!("{value:.3}"));
        let angle = format!("{:.1}", star.angle_deg);
        table.write_record([x, y, flux, fwhm, hfd, elongation, angle]).map_err(|error| fault(&error))?;
    }
    table.flush().map_err(|error| fault(&error))
}
