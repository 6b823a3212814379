//! `quietarc tell still`

use std::path::Path;

use draw::{StillLines, StillShape, StillSize, StillStyle};
use job::{CheckRequest, PlacePrecision, ReadForm, TellSheetRequest, TellStillRequest, tell_still};
use journal::OutingId;

use super::account::reading_from;
use crate::cli::{PrecisionChoice, ShapeChoice, SheetChoice, TellStillArgs};
use crate::commands::{given, open_journal};
use crate::failure::{Failure, Outcome};
use crate::telling::sheet::{self, SheetKind};
use crate::telling::still::{StillKind, covered_px, enlarged, kept_forms, still_file};
use crate::{frame_file, out_file, output};

pub(super) fn run(arguments: &TellStillArgs) -> Result<Outcome, Failure> {
    match (&arguments.file, arguments.draw) {
        (_, Some(choice)) => drawn(arguments, choice),
        (Some(file), None) => shown(arguments, file),
        (None, None) => Err(Failure::new("there is nothing to show", "name a picture, or give --draw keogram or map")),
    }
}

fn shown(arguments: &TellStillArgs, file: &Path) -> Result<Outcome, Failure> {
    let style = style(arguments)?;
    let asked = request(arguments, file, style)?;
    asked.check()?;
    let kind = StillKind::of_path(&arguments.out)?;
    kind.check(style)?;
    out_file::is_no_input(&arguments.out, [file])?;
    let bytes = frame_file::read(file)
        .map_err(|failure| Failure { message: format!("{}: {}", file.display(), failure.message), ..failure })?;
    let told = tell_still(&asked, &bytes);
    out_file::write(&arguments.out, &still_file(&asked, &told, style, kind)?)?;
    for note in told.report.notes.iter().chain(&enlarged(&told.report, style)) {
        output::note(&format!("{}: {note}", told.report.file));
    }
    let names = format!("{} names on the sky, ", told.report.labels.len());
    answer(arguments, style, &names, &told.report.caption)
}

/// A keogram or a map.
fn drawn(arguments: &TellStillArgs, choice: SheetChoice) -> Result<Outcome, Failure> {
    let style = style(arguments)?;
    let kind = StillKind::of_path(&arguments.out)?;
    kind.check(style)?;
    let what = match choice {
        SheetChoice::Keogram => SheetKind::Keogram,
        SheetChoice::Map => SheetKind::Map,
    };
    let request = TellSheetRequest {
        place: arguments.place.clone(),
        place_precision: precision(arguments),
        credit: arguments.credit.clone(),
        time_zone: arguments.time_zone.clone(),
        at: arguments.at,
    };
    request.check()?;
    let drawn = match (&arguments.reading, arguments.outing) {
        (Some(path), _) => sheet::of_reading(&reading_from(path)?, what, &request, style)?,
        (None, Some(outing)) => {
            sheet::of_outing(&open_journal(&arguments.journal)?, OutingId::new(outing), what, request.clone(), style)?
        }
        (None, None) => {
            return Err(Failure::new(
                "it is not said of which night to draw",
                "give --outing NUMBER or --reading FILE",
            ));
        }
    };
    let caption = drawn.caption.clone();
    out_file::write(&arguments.out, &sheet::sheet_file(drawn, &request, style, kind)?)?;
    answer(arguments, style, "", &caption)
}

fn answer(arguments: &TellStillArgs, style: StillStyle, names: &str, caption: &[String]) -> Result<Outcome, Failure> {
    let size = StillSize::of(style.shape, style.lines);
    output::answer(&format!(
        "{}: {} x {} px, {names}caption: {}",
        arguments.out.display(),
        size.width,
        size.height,
        caption.join(" · ")
    ))?;
    Ok(Outcome::Done)
}

fn style(arguments: &TellStillArgs) -> Result<StillStyle, Failure> {
    let lines = match arguments.lines {
        1080 => StillLines::Hd,
        2160 => StillLines::Uhd,
        other => {
            return Err(Failure::new(format!("a still of {other} lines is not made"), "give --lines 1080 or 2160"));
        }
    };
    let shape = match arguments.shape {
        ShapeChoice::Wide => StillShape::Wide,
        ShapeChoice::Tall => StillShape::Tall,
    };
    Ok(StillStyle { shape, lines, is_overlay: arguments.overlay, with_guides: arguments.safe_areas })
}

fn request(arguments: &TellStillArgs, file: &Path, style: StillStyle) -> Result<TellStillRequest, Failure> {
    let site = match &arguments.site {
        Some(name) => Some(open_journal(&arguments.journal)?.site_named(name)?.site),
        None => None,
    };
    let position = given::position(arguments.site.as_deref(), &arguments.coordinates, &arguments.journal)?;
    let kit = given::kit_named(arguments.kit.as_deref(), &arguments.journal)?;
    let name = file.file_name().unwrap_or(file.as_os_str()).to_string_lossy().into_owned();
    Ok(TellStillRequest {
        frame: CheckRequest { name, kit, position, at: arguments.at, ..CheckRequest::default() },
        covers_px: covered_px(style),
        annotate: !arguments.plain,
        forms: forms(arguments)?,
        place: arguments.place.clone(),
        place_precision: precision(arguments),
        credit: arguments.credit.clone(),
        time_zone: arguments.time_zone.clone().or(site.map(|site| site.time_zone)),
    })
}

/// Forms of the reading given, or of that kept last with the outing given.
fn forms(arguments: &TellStillArgs) -> Result<Vec<ReadForm>, Failure> {
    Ok(match (&arguments.reading, arguments.outing) {
        (Some(path), _) => reading_from(path)?.forms,
        (None, Some(outing)) => kept_forms(&open_journal(&arguments.journal)?, OutingId::new(outing))?,
        (None, None) => Vec::new(),
    })
}

fn precision(arguments: &TellStillArgs) -> PlacePrecision {
    match arguments.place_precision {
        PrecisionChoice::Hidden => PlacePrecision::Hidden,
        PrecisionChoice::Degree => PlacePrecision::Degree,
        PrecisionChoice::Tenth => PlacePrecision::Tenth,
    }
}
