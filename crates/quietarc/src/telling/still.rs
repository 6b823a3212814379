//! A still as a file: one door for command and server.

use std::path::Path;

use draw::{StillSize, StillStyle, still};
use job::{ReadForm, TellStillReport, TellStillRequest, ToldStill};
use journal::{Journal, OutingId};

use super::account::kept_reading;
use super::credit::{CreditFields, DigitalSource, credited};
use crate::{Failure, raster};

/// A form of still.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum StillKind {
    Svg,
    Png,
    Jpeg,
}

impl StillKind {
    /// By the ending of a file's name.
    ///
    /// # Errors
    ///
    /// An ending that no still has.
    pub(crate) fn of_path(path: &Path) -> Result<Self, Failure> {
        let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
        Self::of_ending(ending).ok_or_else(|| {
            Failure::new(
                format!("{} ends in none of .png, .jpg and .svg", path.display()),
                "end the name in one of them",
            )
        })
    }

    /// By the ending of a name, without its dot.
    pub(crate) fn of_ending(ending: &str) -> Option<Self> {
        match ending.to_ascii_lowercase().as_str() {
            "svg" => Some(Self::Svg),
            "png" => Some(Self::Png),
            "jpg" | "jpeg" => Some(Self::Jpeg),
            _other => None,
        }
    }

    /// Says whether a still of a style can be of this form.
    ///
    /// # Errors
    ///
    /// A JPEG of words alone.
    pub(crate) fn check(self, style: StillStyle) -> Result<(), Failure> {
        if style.is_overlay && self == Self::Jpeg {
            return Err(Failure::new(
                "a JPEG has no transparent ground, which an overlay needs",
                "take PNG or SVG, or leave the overlay out",
            ));
        }
        Ok(())
    }
}

/// Columns and rows of a still of a style.
pub(crate) fn covered_px(style: StillStyle) -> [u32; 2] {
    let size = StillSize::of(style.shape, style.lines);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some thousands at most")]
    [size.width, size.height].map(|side| side.ceil() as u32)
}

/// A change of size that nobody sees, relative.
const SAME_SIZE: f64 = 0.01;

/// What is to be said where a frame has fewer pixels than the still that it covers.
pub(crate) fn enlarged(report: &TellStillReport, style: StillStyle) -> Option<String> {
    if style.is_overlay || report.frame_px.contains(&0) {
        return None;
    }
    let size = StillSize::of(style.shape, style.lines);
    let [columns, rows] = report.frame_px.map(|side| side as f64);
    let times = (size.width / columns).max(size.height / rows);
    (times > 1.0 + SAME_SIZE)
        .then(|| format!("the frame is made {times:.2} times larger to cover the still, which adds no detail"))
}

/// Forms that the reading kept last with an outing found.
///
/// # Errors
///
/// No such outing, or one without a reading.
pub(crate) fn kept_forms(journal: &Journal, outing: OutingId) -> Result<Vec<ReadForm>, Failure> {
    journal.outing(outing)?;
    let reading = kept_reading(journal, outing)?.ok_or_else(|| {
        Failure::new(
            format!("no reading is kept with outing {outing}, and so no forms"),
            "read its frames with quietarc read --save, or name the sky without an outing",
        )
    })?;
    Ok(reading.forms)
}

/// The SVG of a still.
///
/// # Errors
///
/// A frame that could not be shown, with the reason.
pub(crate) fn drawing(told: &ToldStill, style: StillStyle) -> Result<String, Failure> {
    let picture = told
        .picture
        .as_ref()
        .ok_or_else(|| Failure::new(told.report.notes.first().cloned().unwrap_or_default(), "give another frame"))?;
    Ok(still(&told.report, picture, &style))
}

/// The still as a file with its credit.
///
/// # Errors
///
/// As [`drawing`] and [`StillKind::check`].
pub(crate) fn still_file(
    asked: &TellStillRequest,
    told: &ToldStill,
    style: StillStyle,
    kind: StillKind,
) -> Result<Vec<u8>, Failure> {
    kind.check(style)?;
    let svg = drawing(told, style)?;
    let source = if style.is_overlay { DigitalSource::Computed } else { DigitalSource::Composite };
    let fields = CreditFields {
        creator: asked.credit.as_deref().and_then(job::credited_name),
        date_created: told.report.taken.clone(),
        credit_line: asked.credit.clone(),
        caption: Some(told.report.caption.join(" · ")),
        place: asked.place.clone(),
        source: Some(source),
        ..CreditFields::default()
    };
    file_of(svg, kind, &fields)
}

/// A drawing as a file of a kind with its credit.
///
/// # Errors
///
/// A drawing that cannot be turned into pixels.
pub(super) fn file_of(svg: String, kind: StillKind, fields: &CreditFields) -> Result<Vec<u8>, Failure> {
    let picture = match kind {
        StillKind::Svg => svg.into_bytes(),
        StillKind::Png => raster::png(&svg, 1.0)?,
        StillKind::Jpeg => {
            let (size_px, rgb) = raster::rgb(&svg, 1.0)?;
            super::picture_file::jpeg(size_px, &rgb)?
        }
    };
    credited(picture, fields)
}
