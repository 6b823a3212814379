//! A frame in, a still out: to be looked at with its safe areas, or as a file. The frame is never stored.

use axum::Json;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use draw::{Palette, StillLines, StillShape, StillStyle, picture_uri};
use job::{PlacePrecision, TellStillRequest, ToldStill, tell_still};
use quantity::Timestamp;
use serde::{Deserialize, Serialize};

use super::Shared;
use super::accounts::file;
use super::api::aside;
use super::checking::{CheckQuery, Picture, bytes, request};
use super::drawings::PaletteName;
use super::refusal::{AskQuery, Refusal};
use crate::telling::still::{StillKind, drawing, still_file};
use crate::{Failure, raster};

/// Pixels of a preview over those of the still: enough for a desk's column.
const PREVIEW_SCALE: f32 = 0.5;
/// Longest side of the frame inside a preview and inside a file, px.
const PREVIEW_PX: u32 = 1280;
const FILE_PX: u32 = 3840;

/// What is known beside the frame, and what the still is to be; kit and site are names in the journal.
#[derive(Debug, Deserialize)]
pub(super) struct StillQuery {
    name: String,
    kit: Option<String>,
    site: Option<String>,
    at: Option<Timestamp>,
    #[serde(default)]
    shape: ShapeName,
    #[serde(default)]
    lines: LinesName,
    #[serde(default)]
    overlay: bool,
    #[serde(default)]
    guides: bool,
    #[serde(default)]
    plain: bool,
    place: Option<String>,
    #[serde(default)]
    precision: PlacePrecision,
    credit: Option<String>,
    time_zone: Option<String>,
    palette: Option<PaletteName>,
    /// svg, png or jpg for a file; without it a preview.
    file: Option<String>,
}

#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize)]
pub(super) enum ShapeName {
    #[default]
    #[serde(rename = "16:9")]
    Wide,
    #[serde(rename = "9:16")]
    Tall,
}

#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize)]
pub(super) enum LinesName {
    #[default]
    #[serde(rename = "1080")]
    Hd,
    #[serde(rename = "2160")]
    Uhd,
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

/// The style that words of an address stand for.
pub(super) fn style(shape: ShapeName, lines: LinesName, is_overlay: bool, with_guides: bool) -> StillStyle {
    StillStyle {
        shape: match shape {
            ShapeName::Wide => StillShape::Wide,
            ShapeName::Tall => StillShape::Tall,
        },
        lines: match lines {
            LinesName::Hd => StillLines::Hd,
            LinesName::Uhd => StillLines::Uhd,
        },
        is_overlay,
        with_guides,
    }
}

/// Words that somebody filled in.
pub(super) fn filled(text: Option<&String>) -> Option<String> {
    text.cloned().filter(|text| !text.trim().is_empty())
}

impl StillQuery {
    fn style(&self) -> StillStyle {
        style(self.shape, self.lines, self.overlay, self.guides)
    }

    fn request(&self, shared: &Shared, longest_px: u32) -> Result<TellStillRequest, Failure> {
        let known = CheckQuery {
            name: self.name.clone(),
            kit: self.kit.clone(),
            site: self.site.clone(),
            at: self.at,
            sharpest_hfd_px: None,
            palette: None,
        };
        let asked = TellStillRequest {
            frame: request(shared, &known)?,
            longest_px,
            annotate: !self.plain,
            place: filled(self.place.as_ref()),
            place_precision: self.precision,
            credit: filled(self.credit.as_ref()),
            time_zone: filled(self.time_zone.as_ref()),
        };
        asked.check()?;
        Ok(asked)
    }
}

pub(super) async fn still(
    State(shared): State<Shared>,
    AskQuery(query): AskQuery<StillQuery>,
    picture: Picture,
) -> Result<Response, Refusal> {
    let picture = bytes(picture)?;
    let Some(ending) = query.file.clone() else {
        return aside(move || preview(&shared, &query, &picture)).await.map(|made| Json(made).into_response());
    };
    let kind = kind_named(&ending)?;
    let made = aside(move || {
        let asked = query.request(&shared, FILE_PX)?;
        let style = query.style();
        kind.check(style)?;
        still_file(&asked, &tell_still(&asked, &picture), style, kind)
    })
    .await?;
    Ok(as_file(kind, "still", made))
}

/// A form of file by its ending.
pub(super) fn kind_named(ending: &str) -> Result<StillKind, Failure> {
    StillKind::of_ending(ending)
        .ok_or_else(|| Failure::new(format!("a still is not made as {ending:?}"), "take svg, png or jpg"))
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

fn preview(shared: &Shared, query: &StillQuery, picture: &[u8]) -> Result<StillPreview, Failure> {
    let palette: Palette = query.palette.unwrap_or(PaletteName::Desk).into();
    let asked = query.request(shared, PREVIEW_PX)?;
    let told = tell_still(&asked, picture);
    let style = StillStyle { lines: StillLines::Hd, ..query.style() };
    let svg = drawing(&told, style)?;
    let ToldStill { report, .. } = told;
    StillPreview::of(&svg, palette, report.caption, report.notes, report.labels.len())
}

impl StillPreview {
    pub(super) fn of(
        svg: &str,
        palette: Palette,
        caption: Vec<String>,
        notes: Vec<String>,
        names: usize,
    ) -> Result<Self, Failure> {
        let (size_px, rgb) = raster::rgb(svg, PREVIEW_SCALE)?;
        Ok(Self { picture: picture_uri(size_px, &rgb, palette), size_px, caption, notes, names })
    }
}
