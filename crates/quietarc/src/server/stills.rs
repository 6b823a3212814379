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

impl StillQuery {
    fn style(&self) -> StillStyle {
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

    fn request(&self, shared: &Shared, longest_px: u32) -> Result<TellStillRequest, Failure> {
        let known = CheckQuery {
            name: self.name.clone(),
            kit: self.kit.clone(),
            site: self.site.clone(),
            at: self.at,
            sharpest_hfd_px: None,
            palette: None,
        };
        let filled = |text: &Option<String>| text.clone().filter(|text| !text.trim().is_empty());
        let asked = TellStillRequest {
            frame: request(shared, &known)?,
            longest_px,
            annotate: !self.plain,
            place: filled(&self.place),
            place_precision: self.precision,
            credit: filled(&self.credit),
            time_zone: filled(&self.time_zone),
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
    let kind = StillKind::of_ending(&ending)
        .ok_or_else(|| Failure::new(format!("a still is not made as {ending:?}"), "take svg, png or jpg"))?;
    let made = aside(move || {
        let asked = query.request(&shared, FILE_PX)?;
        let style = query.style();
        kind.check(style)?;
        still_file(&asked, &tell_still(&asked, &picture), style, kind)
    })
    .await?;
    let (media, name) = match kind {
        StillKind::Svg => ("image/svg+xml", "still.svg"),
        StillKind::Png => ("image/png", "still.png"),
        StillKind::Jpeg => ("image/jpeg", "still.jpg"),
    };
    Ok(file(media, name, made))
}

fn preview(shared: &Shared, query: &StillQuery, picture: &[u8]) -> Result<StillPreview, Failure> {
    let palette: Palette = query.palette.unwrap_or(PaletteName::Desk).into();
    let asked = query.request(shared, PREVIEW_PX)?;
    let told = tell_still(&asked, picture);
    let style = StillStyle { lines: StillLines::Hd, ..query.style() };
    let (size_px, rgb) = raster::rgb(&drawing(&told, style)?, PREVIEW_SCALE)?;
    let ToldStill { report, .. } = told;
    Ok(StillPreview {
        picture: picture_uri(size_px, &rgb, palette),
        size_px,
        caption: report.caption,
        notes: report.notes,
        names: report.labels.len(),
    })
}
