//! A frame in, a still out: to be looked at with its safe areas, or as a file. The frame is never stored.

use axum::Json;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use job::{TellStillRequest, ToldStill, tell_still};
use journal::OutingId;
use quantity::Timestamp;
use serde::Deserialize;

use super::Shared;
use super::api::aside;
use super::checking::{CheckQuery, Picture, bytes, request};
use super::night::locked;
use super::refusal::{AskQuery, Refusal};
use super::still_words::{StillPreview, StillWords, as_file};
use crate::Failure;
use crate::telling::still::{covered_px, drawing, enlarged, kept_forms, still_file};

/// Pixels of a preview for one of the frame inside it: sharp enough to choose by, quick to send.
const PREVIEW_SHARE: u32 = 2;

/// What is known beside the frame; kit and site are names in the journal. [`StillWords`] say what the still is to be.
#[derive(Debug, Deserialize)]
pub(super) struct StillQuery {
    name: String,
    kit: Option<String>,
    site: Option<String>,
    at: Option<Timestamp>,
    #[serde(default)]
    plain: bool,
    /// An outing whose reading names the forms.
    outing: Option<i64>,
}

impl StillQuery {
    fn request(&self, words: &StillWords, shared: &Shared, covers_px: [u32; 2]) -> Result<TellStillRequest, Failure> {
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
            covers_px,
            annotate: !self.plain,
            forms: match self.outing {
                Some(outing) => kept_forms(&locked(&shared.journal), OutingId::new(outing))?,
                None => Vec::new(),
            },
            place: words.place(),
            place_precision: words.precision,
            credit: words.credit(),
            time_zone: words.time_zone(),
        };
        asked.check()?;
        Ok(asked)
    }
}

pub(super) async fn still(
    State(shared): State<Shared>,
    AskQuery(query): AskQuery<StillQuery>,
    AskQuery(words): AskQuery<StillWords>,
    picture: Picture,
) -> Result<Response, Refusal> {
    let picture = bytes(picture)?;
    let Some(kind) = words.file_kind()? else {
        let made = aside(move || preview(&shared, &query, &words, &picture));
        return made.await.map(|made| Json(made).into_response());
    };
    let made = aside(move || {
        let style = words.style();
        let asked = query.request(&words, &shared, covered_px(style))?;
        kind.check(style)?;
        still_file(&asked, &tell_still(&asked, &picture), style, kind)
    })
    .await?;
    Ok(as_file(kind, "still", made))
}

fn preview(shared: &Shared, query: &StillQuery, words: &StillWords, picture: &[u8]) -> Result<StillPreview, Failure> {
    let covers_px = covered_px(words.preview_style()).map(|side| side / PREVIEW_SHARE);
    let asked = query.request(words, shared, covers_px)?;
    let told = tell_still(&asked, picture);
    let svg = drawing(&told, words.preview_style())?;
    let ToldStill { mut report, .. } = told;
    report.notes.extend(enlarged(&report, words.style()));
    words.preview(&svg, report.caption, report.notes, report.labels.len())
}
