//! `quietarc tell still`

use draw::{StillLines, StillShape, StillSize, StillStyle, still};
use job::{CheckRequest, PlacePrecision, TellStillRequest, tell_still};

use crate::cli::{PrecisionChoice, ShapeChoice, TellStillArgs};
use crate::commands::{given, open_journal, picture_bytes, write_file};
use crate::failure::{Failure, Outcome};
use crate::telling::credit::{CreditFields, DigitalSource, credited};
use crate::telling::picture_file::PictureKind;
use crate::{frame_file, output, raster};

pub(super) fn run(arguments: &TellStillArgs) -> Result<Outcome, Failure> {
    let (asked, style) = (request(arguments)?, style(arguments)?);
    asked.check()?;
    if style.is_overlay && PictureKind::of(&arguments.out) == Some(PictureKind::Jpeg) {
        return Err(Failure::new(
            "a JPEG has no transparent ground, which an overlay needs",
            "end the name in .png or .svg, or leave --overlay out",
        ));
    }
    let bytes = frame_file::read(&arguments.file).map_err(|failure| Failure {
        message: format!("{}: {}", arguments.file.display(), failure.message),
        ..failure
    })?;
    let told = tell_still(&asked, &bytes);
    let Some(picture) = &told.picture else {
        let why = told.report.notes.first().cloned().unwrap_or_default();
        return Err(Failure::new(why, "give another frame"));
    };
    let svg = still(&told.report, picture, &style);
    let source = if style.is_overlay { DigitalSource::Computed } else { DigitalSource::Composite };
    let fields = CreditFields {
        credit_line: arguments.credit.clone(),
        caption: Some(told.report.caption.join(" · ")),
        place: arguments.place.clone(),
        source: Some(source),
        ..CreditFields::default()
    };
    let picture = match PictureKind::of(&arguments.out) {
        Some(PictureKind::Jpeg) => raster::jpeg(&svg)?,
        _ => picture_bytes(&arguments.out, &svg, 1.0)?,
    };
    write_file(&arguments.out, &credited(picture, &fields)?)?;
    for note in &told.report.notes {
        output::note(&format!("{}: {note}", told.report.file));
    }
    let size = StillSize::of(style.shape, style.lines);
    output::answer(&format!(
        "{}: {} x {} px, {} names on the sky, caption: {}",
        arguments.out.display(),
        size.width,
        size.height,
        told.report.labels.len(),
        told.report.caption.join(" · ")
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

fn request(arguments: &TellStillArgs) -> Result<TellStillRequest, Failure> {
    let site = match &arguments.site {
        Some(name) => Some(open_journal(&arguments.journal)?.site_named(name)?.site),
        None => None,
    };
    let position = given::position(arguments.site.as_deref(), &arguments.coordinates, &arguments.journal)?;
    let kit = given::kit_named(arguments.kit.as_deref(), &arguments.journal)?;
    let name = arguments.file.file_name().unwrap_or(arguments.file.as_os_str()).to_string_lossy().into_owned();
    Ok(TellStillRequest {
        frame: CheckRequest { name, kit, position, at: arguments.at, sharpest_hfd_px: None },
        longest_px: 3840,
        annotate: !arguments.plain,
        place: arguments.place.clone(),
        place_precision: match arguments.place_precision {
            PrecisionChoice::Hidden => PlacePrecision::Hidden,
            PrecisionChoice::Degree => PlacePrecision::Degree,
            PrecisionChoice::Tenth => PlacePrecision::Tenth,
        },
        credit: arguments.credit.clone(),
        time_zone: arguments.time_zone.clone().or(site.map(|site| site.time_zone)),
    })
}
