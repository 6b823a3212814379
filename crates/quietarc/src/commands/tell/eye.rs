//! `quietarc tell eye`

use std::path::Path;

use draw::{Palette, eye_beside, picture_png};
use job::{CheckRequest, TellEyeReport, TellEyeRequest, ToldEye, tell_eye};

use crate::cli::TellEyeArgs;
use crate::commands::{given, picture_bytes, write_file};
use crate::failure::{Failure, Outcome};
use crate::telling::credit::{CreditFields, DigitalSource, credited};
use crate::{frame_file, output, present_tell};

pub(super) fn run(arguments: &TellEyeArgs) -> Result<Outcome, Failure> {
    let asked = request(arguments)?;
    asked.check()?;
    let saves = arguments.out.is_some() || arguments.beside.is_some();
    if saves && arguments.files.len() > 1 {
        return Err(Failure::new(
            format!("--out and --beside are for one frame, and {} are given", arguments.files.len()),
            "give one frame at a time",
        ));
    }
    let mut failed = 0;
    for path in &arguments.files {
        let told = looked_at(path, &asked);
        if let Some(file) = &arguments.out {
            save_eye(file, &told)?;
        }
        if let Some(file) = &arguments.beside {
            save_beside(file, &told)?;
        }
        if arguments.json {
            output::json_line(&told.report)?;
        } else {
            output::answer(&present_tell::eye(&told.report))?;
        }
        failed += usize::from(told.pictures.is_none());
    }
    Ok(if failed == 0 { Outcome::Done } else { Outcome::SomeFailed { failed, of: arguments.files.len() } })
}

fn request(arguments: &TellEyeArgs) -> Result<TellEyeRequest, Failure> {
    let position = given::position(arguments.site.as_deref(), &arguments.place, &arguments.journal)?;
    let kit = given::kit_named(arguments.kit.as_deref(), &arguments.journal)?;
    Ok(TellEyeRequest {
        frame: CheckRequest { name: String::new(), kit, position, at: arguments.at, sharpest_hfd_px: None },
        minutes_since_white_light: arguments.minutes,
        field_factor: arguments.field_factor,
        longest_px: arguments.size,
    })
}

/// One file; a file that cannot be read gives a report that says so.
fn looked_at(path: &Path, asked: &TellEyeRequest) -> ToldEye {
    let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned();
    let mut request = asked.clone();
    request.frame.name.clone_from(&name);
    match frame_file::read(path) {
        Ok(bytes) => tell_eye(&request, &bytes),
        Err(Failure { message, hint, .. }) => {
            let verdict = format!("{name}: {message}; {hint}.");
            let report = TellEyeReport { why_not: Some(verdict.clone()), verdict, ..tell_eye(&request, &[]).report };
            ToldEye { report, pictures: None }
        }
    }
}

fn no_eye_view(told: &ToldEye) -> Failure {
    Failure::new(
        told.report.verdict.clone(),
        "give a frame of the night sky with stars, or one whose exposure time, ISO and f-number are known",
    )
}

fn save_eye(file: &Path, told: &ToldEye) -> Result<(), Failure> {
    if file.extension().and_then(|ending| ending.to_str()) != Some("png") {
        return Err(Failure::new(format!("{} does not end in .png", file.display()), "end the name in .png"));
    }
    let pictures = told.pictures.as_ref().ok_or_else(|| no_eye_view(told))?;
    let eye = pictures.eye_rgb.as_ref().ok_or_else(|| no_eye_view(told))?;
    let png = picture_png([pictures.width, pictures.height], eye, Palette::Day);
    write_file(file, &credited(png, &fields(told, DigitalSource::Enhanced))?)
}

fn save_beside(file: &Path, told: &ToldEye) -> Result<(), Failure> {
    let svg = told.pictures.as_ref().and_then(|pictures| eye_beside(&told.report, pictures, Palette::Day));
    let svg = svg.ok_or_else(|| no_eye_view(told))?;
    // a picture's own pixels, not doubled
    let bytes = picture_bytes(file, &svg, 1.0)?;
    write_file(file, &credited(bytes, &fields(told, DigitalSource::Composite))?)
}

fn fields(told: &ToldEye, source: DigitalSource) -> CreditFields {
    CreditFields { caption: Some(told.report.caption.clone()), source: Some(source), ..CreditFields::default() }
}
