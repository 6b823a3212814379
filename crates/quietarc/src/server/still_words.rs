//! What an address says of a still, whatever is on it: its shape, its caption, whether it is looked at or saved.

use axum::response::Response;
use draw::{Palette, StillLines, StillShape, StillStyle, picture_uri};
use job::PlacePrecision;
use serde::{Deserialize, Serialize};

use super::accounts::file;
use super::drawings::PaletteName;
use crate::telling::still::StillKind;
use crate::{Failure, raster};

/// Pixels of a preview over those of the still: enough for a desk's column.
const PREVIEW_SCALE: f32 = 0.5;

/// The part of a question that all stills share; what it is made of is asked beside it.
#[derive(Debug, Deserialize)]
pub(super) struct StillWords {
    #[serde(default)]
    shape: ShapeName,
    #[serde(default)]
    lines: LinesName,
    #[serde(default)]
    overlay: bool,
    #[serde(default)]
    guides: bool,
    place: Option<String>,
    #[serde(default)]
    pub(super) precision: PlacePrecision,
    credit: Option<String>,
    time_zone: Option<String>,
    palette: Option<PaletteName>,
    /// svg, png or jpg for a file; without it a preview.
    file: Option<String>,
}

#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize)]
enum ShapeName {
    #[default]
    #[serde(rename = "16:9")]
    Wide,
    #[serde(rename = "9:16")]
    Tall,
}

#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize)]
enum LinesName {
    #[default]
    #[serde(rename = "1080")]
    Hd,
    #[serde(rename = "2160")]
    Uhd,
}

impl StillWords {
    pub(super) fn style(&self) -> StillStyle {
        StillStyle {
            shape: match self.shape {
                ShapeName::Wide => StillShape::Wide,
                ShapeName::Tall => StillShape::Tall,
            },
            lines: match self.lines {
                LinesName::Hd => StillLines::Hd,
                LinesName::Uhd => StillLines::Uhd,
            },
            is_overlay: self.overlay,
            with_guides: self.guides,
        }
    }

    /// The style of a preview, which is never larger than a screen.
    pub(super) fn preview_style(&self) -> StillStyle {
        StillStyle { lines: StillLines::Hd, ..self.style() }
    }

    /// The form of the file asked for; `None` where it is only looked at.
    ///
    /// # Errors
    ///
    /// A form that no still has.
    pub(super) fn file_kind(&self) -> Result<Option<StillKind>, Failure> {
        let named = |ending: &String| {
            StillKind::of_ending(ending)
                .ok_or_else(|| Failure::new(format!("a still is not made as {ending:?}"), "take svg, png or jpg"))
        };
        self.file.as_ref().map(named).transpose()
    }

    pub(super) fn place(&self) -> Option<String> {
        filled(self.place.as_ref())
    }

    pub(super) fn credit(&self) -> Option<String> {
        filled(self.credit.as_ref())
    }

    pub(super) fn time_zone(&self) -> Option<String> {
        filled(self.time_zone.as_ref())
    }

    /// A drawing to be looked at, in the colours of the eyes before it.
    ///
    /// # Errors
    ///
    /// A drawing that cannot be turned into pixels.
    pub(super) fn preview(
        &self,
        svg: &str,
        caption: Vec<String>,
        notes: Vec<String>,
        names: usize,
    ) -> Result<StillPreview, Failure> {
        let palette: Palette = self.palette.unwrap_or(PaletteName::Desk).into();
        let (size_px, rgb) = raster::rgb(svg, PREVIEW_SCALE)?;
        Ok(StillPreview { picture: picture_uri(size_px, &rgb, palette), size_px, caption, notes, names })
    }
}

/// Words that somebody filled in.
fn filled(text: Option<&String>) -> Option<String> {
    text.cloned().filter(|text| !text.trim().is_empty())
}

/// A still to be looked at.
#[derive(Debug, Serialize)]
pub(super) struct StillPreview {
    /// The picture, a data address.
    picture: String,
    size_px: [usize; 2],
    /// Lines of the caption.
    caption: Vec<String>,
    /// What is odd about it.
    notes: Vec<String>,
    /// Names on the sky.
    names: usize,
}

/// A still as a file to be saved.
pub(super) fn as_file(kind: StillKind, name: &str, made: Vec<u8>) -> Response {
    let (media, ending) = match kind {
        StillKind::Svg => ("image/svg+xml", "svg"),
        StillKind::Png => ("image/png", "png"),
        StillKind::Jpeg => ("image/jpeg", "jpg"),
    };
    file(media, &format!("{name}.{ending}"), made)
}
