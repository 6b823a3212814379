//! What the desk writes: fields, state, permission, withdrawal, rundown, copies, links.

use axum::Json;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use jiff::Timestamp;
use journal::{
    Consent, ConsentedUse, ExportMade, JournalError, LinkId, MadeLink, OneUse, SubmissionId, SubmissionRow,
    SubmissionState,
};
use serde::{Deserialize, Serialize};

use super::Shared;
use super::api::{Answer, aside};
use super::desk_board::{conflict, refused, with_journal};
use super::night::locked;
use super::refusal::{Ask, Refusal};
use crate::Failure;
use crate::desk::{
    Edited, Exported, Exporting, LinkWish, MadeToken, PlaceShown, Stock, Whole, Withdrawal, block, edit as edit_fields,
    export, make_link, set_rundown as order, whole, withdraw, writer,
};

pub(super) async fn edit(
    State(shared): State<Shared>,
    Path(id): Path<i64>,
    Ask(edited): Ask<Edited>,
) -> Result<Response, Refusal> {
    let id = SubmissionId::new(id);
    changing(&shared, id, move |journal| edit_fields(journal, id, edited, Timestamp::now())).await
}

/// Carries a change out, and gives what stands there afterwards; a conflict gives what stands there now.
async fn changing(
    shared: &Shared,
    id: SubmissionId,
    work: impl FnOnce(&mut journal::Journal) -> Result<i64, JournalError> + Send + 'static,
) -> Result<Response, Refusal> {
    let journal = std::sync::Arc::clone(&shared.journal);
    let (done, now) = aside(move || {
        let mut journal = locked(&journal);
        let done = work(&mut journal);
        let now = whole(&journal, id, false);
        Ok::<_, Failure>((done, now))
    })
    .await?;
    match done {
        Ok(_version) => {
            shared.desk.tell();
            Ok(Json(now.map_err(refused)?).into_response())
        }
        Err(error @ JournalError::Changed { .. }) => Ok(conflict(&error.into(), &now.map_err(refused)?)),
        Err(error) => Err(refused(error)),
    }
}

/// Put aside, found fit, or taken back from either.
#[derive(Deserialize)]
pub(super) struct StateAsked {
    version: i64,
    #[serde(default)]
    by: String,
    state: SubmissionState,
}

pub(super) async fn set_state(
    State(shared): State<Shared>,
    Path(id): Path<i64>,
    Ask(asked): Ask<StateAsked>,
) -> Result<Response, Refusal> {
    let id = SubmissionId::new(id);
    changing(&shared, id, move |journal| {
        journal.set_submission_state(id, asked.version, asked.state, Timestamp::now(), &writer(&asked.by))
    })
    .await
}

/// A permission.
#[derive(Deserialize)]
pub(super) struct Permitted {
    version: i64,
    #[serde(default)]
    by: String,
    words: String,
    uses: ConsentedUse,
}

pub(super) async fn consent(
    State(shared): State<Shared>,
    Path(id): Path<i64>,
    Ask(given): Ask<Permitted>,
) -> Result<Response, Refusal> {
    let id = SubmissionId::new(id);
    changing(&shared, id, move |journal| {
        let consent = Consent {
            uses: given.uses,
            recorded_at: Timestamp::now(),
            recorded_by: writer(&given.by),
            words: block(&given.words),
        };
        journal.record_consent(id, given.version, &consent)
    })
    .await
}

/// Its sender takes it back.
#[derive(Deserialize)]
pub(super) struct TakenBack {
    #[serde(default)]
    by: String,
    words: String,
    #[serde(default)]
    erase: bool,
}

/// A submission taken back, and where copies of it are.
#[derive(Serialize)]
pub(super) struct Withdrawn {
    exports: Vec<ExportMade>,
    #[serde(flatten)]
    now: Whole,
}

pub(super) async fn take_back(
    State(shared): State<Shared>,
    Path(id): Path<i64>,
    Ask(asked): Ask<TakenBack>,
) -> Answer<Withdrawn> {
    let (journal, path) = (std::sync::Arc::clone(&shared.journal), std::sync::Arc::clone(&shared.path));
    let done = aside(move || {
        let id = SubmissionId::new(id);
        let asked = Withdrawal { words: &asked.words, erase: asked.erase, by: &writer(&asked.by) };
        let mut journal = locked(&journal);
        let exports = withdraw(&mut journal, &Stock::beside(&path), id, &asked, Timestamp::now())?;
        Ok::<_, Failure>(Withdrawn { exports, now: whole(&journal, id, false)? })
    })
    .await?;
    shared.desk.tell();
    Ok(Json(done))
}

/// The order for air, by a person who has seen another one.
#[derive(Deserialize)]
pub(super) struct Ordered {
    seen: Vec<SubmissionId>,
    to: Vec<SubmissionId>,
    #[serde(default)]
    by: String,
}

pub(super) async fn set_rundown(State(shared): State<Shared>, Ask(asked): Ask<Ordered>) -> Answer<Vec<SubmissionRow>> {
    let rows =
        with_journal(&shared, move |journal| order(journal, &asked.seen, &asked.to, Timestamp::now(), &asked.by))
            .await?;
    shared.desk.tell();
    Ok(Json(rows))
}

/// What is to leave.
#[derive(Deserialize)]
pub(super) struct ExportAsked {
    ids: Vec<SubmissionId>,
    permitted_use: OneUse,
    #[serde(default)]
    place: PlaceWord,
    #[serde(default)]
    by: String,
}

/// How much of the place is told.
#[derive(Deserialize, Default, Clone, Copy)]
#[serde(rename_all = "snake_case")]
enum PlaceWord {
    #[default]
    Nothing,
    Words,
    Degrees,
}

/// What left, and what did not.
#[derive(Serialize)]
pub(super) struct ExportDone {
    folder: String,
    exported: Vec<Exported>,
    refused: Vec<NotExported>,
}

#[derive(Serialize)]
struct NotExported {
    id: SubmissionId,
    error: String,
    hint: String,
}

/// Copies go into a folder beside the journal, named by the minute: a page cannot write anywhere else.
pub(super) async fn let_out(State(shared): State<Shared>, Ask(asked): Ask<ExportAsked>) -> Answer<ExportDone> {
    let path = std::sync::Arc::clone(&shared.path);
    let done = aside(move || {
        let now = Timestamp::now();
        let stock = Stock::beside(&path);
        let folder = stock.exports().join(format!("{}-{}", now.strftime("%Y%m%d-%H%M%S"), asked.permitted_use.word()));
        let place = match asked.place {
            PlaceWord::Nothing => PlaceShown::Nothing,
            PlaceWord::Words => PlaceShown::Words,
            PlaceWord::Degrees => PlaceShown::Degrees,
        };
        let by = writer(&asked.by);
        let question =
            Exporting { ids: &asked.ids, permitted_use: asked.permitted_use, folder: &folder, place, by: &by };
        // a journal of its own: copying takes its time, and the board goes on
        let mut journal = journal::Journal::open(&path)?;
        let mut done = ExportDone { folder: folder.display().to_string(), exported: Vec::new(), refused: Vec::new() };
        for one in export(&mut journal, &stock, &question, now)? {
            match one {
                Ok(exported) => done.exported.push(exported),
                Err((id, Failure { message, hint, .. })) => done.refused.push(NotExported { id, error: message, hint }),
            }
        }
        Ok::<_, Failure>(done)
    })
    .await?;
    shared.desk.tell();
    Ok(Json(done))
}

pub(super) async fn links(State(shared): State<Shared>) -> Answer<Vec<MadeLink>> {
    with_journal(&shared, |journal| journal.links()).await.map(Json)
}

/// A link that the desk wants.
#[derive(Deserialize)]
pub(super) struct LinkAsked {
    label: String,
    time_zone: String,
    days: u32,
    most_pictures: u32,
}

pub(super) async fn new_link(State(shared): State<Shared>, Ask(asked): Ask<LinkAsked>) -> Answer<MadeToken> {
    let journal = std::sync::Arc::clone(&shared.journal);
    aside(move || {
        let LinkAsked { label, time_zone, days, most_pictures } = &asked;
        let wish = LinkWish { label, time_zone, days: *days, most_pictures: *most_pictures };
        make_link(&locked(&journal), &wish, Timestamp::now())
    })
    .await
    .map(Json)
}

pub(super) async fn revoke_link(State(shared): State<Shared>, Path(id): Path<i64>) -> Answer<Vec<MadeLink>> {
    with_journal(&shared, move |journal| {
        journal.revoke_link(LinkId::new(id), Timestamp::now())?;
        journal.links()
    })
    .await
    .map(Json)
}
