//! Keogram and map of an outing as stills: to be looked at, or as files.

use axum::Json;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use draw::{Palette, StillLines, StillStyle};
use job::{PlacePrecision, TellSheetRequest};
use journal::OutingId;
use quantity::Timestamp;
use serde::Deserialize;

use super::Shared;
use super::api::aside;
use super::drawings::PaletteName;
use super::night::locked;
use super::refusal::{AskQuery, Refusal};
use super::stills::{LinesName, ShapeName, StillPreview, as_file, filled, kind_named, style};
use crate::Failure;
use crate::telling::sheet::{Drawn, SheetKind, of_outing, sheet_file};

/// What is drawn of which night.
#[derive(Debug, Deserialize)]
pub(super) struct SheetQuery {
    outing: i64,
    what: SheetName,
    at: Option<Timestamp>,
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
    precision: PlacePrecision,
    credit: Option<String>,
    time_zone: Option<String>,
    palette: Option<PaletteName>,
    /// svg, png or jpg for a file; without it a preview.
    file: Option<String>,
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "snake_case")]
enum SheetName {
    Keogram,
    Map,
}

impl SheetQuery {
    fn kind(&self) -> SheetKind {
        match self.what {
            SheetName::Keogram => SheetKind::Keogram,
            SheetName::Map => SheetKind::Map,
        }
    }

    fn request(&self) -> TellSheetRequest {
        TellSheetRequest {
            place: filled(self.place.as_ref()),
            place_precision: self.precision,
            credit: filled(self.credit.as_ref()),
            time_zone: filled(self.time_zone.as_ref()),
            at: self.at,
        }
    }

    fn drawn(&self, shared: &Shared, style: StillStyle) -> Result<Drawn, Failure> {
        of_outing(&locked(&shared.journal), OutingId::new(self.outing), self.kind(), self.request(), style)
    }
}

pub(super) async fn sheet(
    State(shared): State<Shared>,
    AskQuery(query): AskQuery<SheetQuery>,
) -> Result<Response, Refusal> {
    let asked = style(query.shape, query.lines, query.overlay, query.guides);
    let Some(ending) = query.file.clone() else {
        let style = StillStyle { lines: StillLines::Hd, ..asked };
        let made = aside(move || {
            let palette: Palette = query.palette.unwrap_or(PaletteName::Desk).into();
            let drawn = query.drawn(&shared, style)?;
            StillPreview::of(&drawn.svg, palette, drawn.caption, Vec::new(), 0)
        });
        return made.await.map(|made| Json(made).into_response());
    };
    let kind = kind_named(&ending)?;
    let name = match query.what {
        SheetName::Keogram => "keogram",
        SheetName::Map => "map",
    };
    let made = aside(move || {
        kind.check(asked)?;
        sheet_file(query.drawn(&shared, asked)?, &query.request(), asked, kind)
    });
    Ok(as_file(kind, name, made.await?))
}
