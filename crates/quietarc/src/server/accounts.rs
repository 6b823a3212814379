//! The account of a night over HTTP: the rules are those of the command.

use axum::Json;
use axum::extract::State;
use axum::http::HeaderName;
use axum::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use journal::OutingId;
use serde::Deserialize;

use super::Shared;
use super::api::aside;
use super::night::locked;
use super::refusal::{AskQuery, Refusal};
use crate::telling::account::{AccountTask, account, kept_reading, page, running_order_csv, text};

/// Title of the page.
const TITLE: &str = "Account of the night";

/// Which night, and how it is to be told.
#[derive(Debug, Deserialize)]
pub(super) struct AccountQuery {
    outing: i64,
    place: Option<String>,
    minutes: Option<f64>,
    /// Cards by their names, with commas between them.
    order: Option<String>,
    #[serde(default)]
    form: AccountForm,
}

/// In which form.
#[derive(Debug, Clone, Copy, Default, Deserialize)]
#[serde(rename_all = "snake_case")]
enum AccountForm {
    /// The report.
    #[default]
    Json,
    /// Plain text, to be saved.
    Text,
    /// A page, to be saved.
    Html,
    /// The running order as a table, to be saved.
    Csv,
}

pub(super) async fn tell(
    State(shared): State<Shared>,
    AskQuery(asked): AskQuery<AccountQuery>,
) -> Result<Response, Refusal> {
    let form = asked.form;
    let report = aside(move || {
        let journal = locked(&shared.journal);
        let outing = OutingId::new(asked.outing);
        let filled = |text: Option<String>| text.filter(|text| !text.trim().is_empty());
        let task = AccountTask {
            place: filled(asked.place),
            minutes_of_air: asked.minutes,
            card_order: filled(asked.order)
                .map_or_else(Vec::new, |cards| cards.split(',').map(str::to_owned).collect()),
            reading: kept_reading(&journal, outing)?,
        };
        account(&journal, outing, task)
    })
    .await?;
    Ok(match form {
        AccountForm::Json => Json(report).into_response(),
        AccountForm::Text => file("text/plain; charset=utf-8", "account.txt", text(&report).into_bytes()),
        AccountForm::Html => file("text/html; charset=utf-8", "account.html", page(&report, TITLE).into_bytes()),
        AccountForm::Csv => {
            file("text/csv; charset=utf-8", "running-order.csv", running_order_csv(&report).map_err(Refusal::internal)?)
        }
    })
}

/// A file to be saved, never shown within the pages.
pub(super) fn file(kind: &'static str, name: &str, bytes: Vec<u8>) -> Response {
    let headers: [(HeaderName, String); 3] = [
        (CONTENT_TYPE, kind.to_owned()),
        (CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
        (CACHE_CONTROL, "no-store".to_owned()),
    ];
    (headers, bytes).into_response()
}
