//! `quietarc tell eye`

use std::path::{Path, PathBuf};

use job::{CheckRequest, TellEyeReport, TellEyeRequest, ToldEye, tell_eye};

use crate::cli::TellEyeArgs;
use crate::commands::{first_failure, given, picture_bytes};
use crate::failure::{Failure, Outcome};
use crate::telling::eye::{beside_drawing, beside_file, eye_file};
use crate::{frame_file, out_file, output, present_tell};

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
    for out in arguments.out.iter().chain(&arguments.beside) {
        out_file::is_no_input(out, arguments.files.iter().map(PathBuf::as_path))?;
    }
    let mut failed = 0;
    let mut unsaved = Vec::new();
    for path in &arguments.files {
        let told = looked_at(path, &asked);
        let saved = [
            arguments.out.as_deref().map(|file| save_eye(file, &told)),
            arguments.beside.as_deref().map(|file| save_beside(file, &told)),
        ];
        // one that cannot be saved takes neither the other nor the report with it
        unsaved.extend(saved.into_iter().flatten().filter_map(Result::err));
        if arguments.json {
            output::json_line(&told.report)?;
        } else {
            output::answer(&present_tell::eye(&told.report))?;
        }
        failed += usize::from(told.pictures.is_none());
    }
    first_failure(unsaved)?;
    Ok(if failed == 0 { Outcome::Done } else { Outcome::SomeFailed { failed, of: arguments.files.len() } })
}

fn request(arguments: &TellEyeArgs) -> Result<TellEyeRequest, Failure> {
    let position = given::position(arguments.site.as_deref(), &arguments.place, &arguments.journal)?;
    let kit = given::kit_named(arguments.kit.as_deref(), &arguments.journal)?;
    Ok(TellEyeRequest {
        frame: CheckRequest { name: String::new(), kit, position, at: arguments.at, ..CheckRequest::default() },
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

fn save_eye(file: &Path, told: &ToldEye) -> Result<(), Failure> {
    if file.extension().and_then(|ending| ending.to_str()) != Some("png") {
        return Err(Failure::new(format!("{} does not end in .png", file.display()), "end the name in .png"));
    }
    out_file::write(file, &eye_file(told)?)
}

fn save_beside(file: &Path, told: &ToldEye) -> Result<(), Failure> {
    // a picture's own pixels, not doubled
    let bytes = picture_bytes(file, &beside_drawing(told)?, 1.0)?;
    out_file::write(file, &beside_file(told, bytes)?)
}
