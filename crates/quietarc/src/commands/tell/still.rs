//! `quietarc tell still`

use draw::{StillLines, StillShape, StillSize, StillStyle};
use job::{CheckRequest, PlacePrecision, TellStillRequest, tell_still};

use crate::cli::{PrecisionChoice, ShapeChoice, TellStillArgs};
use crate::commands::{given, open_journal, write_file};
use crate::failure::{Failure, Outcome};
use crate::telling::still::{StillKind, still_file};
use crate::{frame_file, output};

pub(super) fn run(arguments: &TellStillArgs) -> Result<Outcome, Failure> {
    let (asked, style) = (request(arguments)?, style(arguments)?);
    asked.check()?;
    let ending = arguments.out.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
    let kind = StillKind::of_ending(ending).ok_or_else(|| {
        Failure::new(
            format!("{} ends in none of .png, .jpg and .svg", arguments.out.display()),
            "end the name in one of them",
        )
    })?;
    kind.check(style)?;
    let bytes = frame_file::read(&arguments.file).map_err(|failure| Failure {
        message: format!("{}: {}", arguments.file.display(), failure.message),
        ..failure
    })?;
    let told = tell_still(&asked, &bytes);
    write_file(&arguments.out, &still_file(&asked, &told, style, kind)?)?;
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
