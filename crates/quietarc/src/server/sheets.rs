//! Keogram and map of an outing as stills: to be looked at, or as files.

use axum::Json;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use draw::StillStyle;
use job::TellSheetRequest;
use journal::OutingId;
use quantity::Timestamp;
use serde::Deserialize;

use super::Shared;
use super::api::aside;
use super::night::locked;
use super::refusal::{AskQuery, Refusal};
use super::still_words::{StillWords, as_file};
use crate::Failure;
use crate::telling::sheet::{Drawn, SheetKind, of_outing, sheet_file};

/// What is drawn of which night; [`StillWords`] say what the still is to be.
#[derive(Debug, Deserialize)]
pub(super) struct SheetQuery {
    outing: i64,
    what: SheetName,
    at: Option<Timestamp>,
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

    fn request(&self, words: &StillWords) -> TellSheetRequest {
        TellSheetRequest {
            place: words.place(),
            place_precision: words.precision,
            credit: words.credit(),
            time_zone: words.time_zone(),
            at: self.at,
        }
    }

    fn drawn(&self, words: &StillWords, shared: &Shared, style: StillStyle) -> Result<Drawn, Failure> {
        of_outing(&locked(&shared.journal), OutingId::new(self.outing), self.kind(), self.request(words), style)
    }
}

pub(super) async fn sheet(
    State(shared): State<Shared>,
    AskQuery(query): AskQuery<SheetQuery>,
    AskQuery(words): AskQuery<StillWords>,
) -> Result<Response, Refusal> {
    let Some(kind) = words.file_kind()? else {
        let made = aside(move || {
            let drawn = query.drawn(&words, &shared, words.preview_style())?;
            words.preview(&drawn.svg, drawn.caption, Vec::new(), 0)
        });
        return made.await.map(|made| Json(made).into_response());
    };
    let name = match query.what {
        SheetName::Keogram => "keogram",
        SheetName::Map => "map",
    };
    let made = aside(move || {
        let style = words.style();
        kind.check(style)?;
        sheet_file(query.drawn(&words, &shared, style)?, &query.request(&words), style, kind)
    });
    Ok(as_file(kind, name, made.await?))
}
