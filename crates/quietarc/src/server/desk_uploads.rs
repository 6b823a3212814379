//! Pictures that come over HTTP: dropped on the board, or sent by viewers through a link.

use std::net::IpAddr;
use std::sync::Arc;

use axum::Json;
use axum::extract::{DefaultBodyLimit, Multipart, Path, State};
use axum::http::header::{HOST, ORIGIN};
use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;
use jiff::Timestamp;
use jiff::civil::DateTime;
use jiff::tz::TimeZone;
use journal::{Claim, Consent, ConsentedUse, Door, Journal, MadeLink, SubmissionId};

use super::Shared;
use super::api::{Answer, aside};
use super::desk_parts::{self, Form, LARGEST_FORM, PATIENCE};
use super::night::locked;
use super::refusal::Refusal;
use super::send_page::{self, Told};
use super::sender::Sender;
use crate::Failure;
use crate::desk::{Arrival, Stock, Taken, Withdrawal, take, token, token_hash, withdraw};

/// The limit of these routes alone.
pub(super) fn body_limit() -> DefaultBodyLimit {
    DefaultBodyLimit::max(LARGEST_FORM)
}

/// A picture dropped on the board.
pub(super) async fn drop_in(State(shared): State<Shared>, headers: HeaderMap, parts: Multipart) -> Answer<Taken> {
    if !is_own_page(&headers) {
        return Err(Refusal::forbidden(Failure::new(
            "a page of another site asks for this",
            "drop the picture on the board itself",
        )));
    }
    let form = desk_parts::read(parts, PATIENCE).await?;
    let (journal, path) = (Arc::clone(&shared.journal), Arc::clone(&shared.path));
    let taken = aside(move || {
        let arrival = Arrival {
            file_name: &form.file_name,
            bytes: &form.picture,
            door: Door::Desk,
            link: None,
            claim: Claim::default(),
            credit_name: form.text("credit_name"),
            contact: form.text("contact"),
            caption: form.text("caption"),
            withdrawal_hash: None,
        };
        take(&mut locked(&journal), &Stock::beside(&path), &arrival, Timestamp::now())
    })
    .await?;
    shared.desk.tell();
    Ok(Json(taken))
}

/// A form can be sent by a page of any site, without being asked for leave: its origin tells.
fn is_own_page(headers: &HeaderMap) -> bool {
    let word = |name| headers.get(name).and_then(|value: &axum::http::HeaderValue| value.to_str().ok());
    match (word(ORIGIN), word(HOST)) {
        // no browser says none with a form of another site
        (None, _) => true,
        (Some(origin), Some(host)) => origin.split_once("://").is_some_and(|(_scheme, named)| named == host),
        (Some(_), None) => false,
    }
}

/// The link of a token, while it is open.
async fn open_link(shared: &Shared, token: String, from: IpAddr) -> Result<MadeLink, Response> {
    let journal = Arc::clone(&shared.journal);
    let found = aside(move || locked(&journal).link_of(&token_hash(&token))).await;
    match found {
        Err(_broken) => Err(send_page::refusal(
            StatusCode::INTERNAL_SERVER_ERROR,
            "This page is out of order; please try again later.",
        )),
        Ok(None) if shared.gate.bears_wrong(from) => {
            Err(send_page::refusal(StatusCode::NOT_FOUND, "There is no such page. Please check the address."))
        }
        Ok(None) => {
            Err(send_page::refusal(StatusCode::TOO_MANY_REQUESTS, "Too many wrong addresses. Please try again later."))
        }
        Ok(Some(link)) => match link.shut(Timestamp::now()) {
            Some(why) => {
                Err(send_page::refusal(StatusCode::GONE, &format!("Nothing can be sent here any more: {why}.")))
            }
            None => Ok(link),
        },
    }
}

pub(super) async fn form(State(shared): State<Shared>, Sender(from): Sender, Path(token): Path<String>) -> Response {
    match open_link(&shared, token, from).await {
        Ok(link) => send_page::form(&link),
        Err(refusal) => refusal,
    }
}

/// A picture sent by a viewer.
pub(super) async fn send(
    State(shared): State<Shared>,
    Sender(from): Sender,
    Path(token): Path<String>,
    parts: Multipart,
) -> Response {
    let link = match open_link(&shared, token.clone(), from).await {
        Ok(link) => link,
        Err(refusal) => return refusal,
    };
    if !shared.gate.admits(from) {
        return send_page::refusal(
            StatusCode::TOO_MANY_REQUESTS,
            "That are many pictures at once. Please send the rest in ten minutes.",
        );
    }
    let Some(_place) = shared.gate.place(from) else {
        return send_page::refusal(
            StatusCode::SERVICE_UNAVAILABLE,
            "Many people are sending just now. Please try again in a minute.",
        );
    };
    let form = match desk_parts::read(parts, PATIENCE).await {
        Ok(form) => form,
        Err(failure) => return send_page::again(&link, &failure),
    };
    // a picture may take minutes to come; the desk may have closed the link meanwhile
    if let Err(refusal) = open_link(&shared, token, from).await {
        return refusal;
    }
    let (journal, path) = (Arc::clone(&shared.journal), Arc::clone(&shared.path));
    let (for_link, form) = (link.clone(), Arc::new(form));
    let kept = aside(move || keep(&mut locked(&journal), &Stock::beside(&path), &for_link, &form)).await;
    match kept {
        Ok(told) => {
            shared.desk.tell();
            send_page::thanks(&told)
        }
        Err(refusal) => send_page::again(&link, &refusal.into_failure()),
    }
}

/// Takes the picture in, and what its sender permits with it.
fn keep(journal: &mut Journal, stock: &Stock, link: &MadeLink, form: &Form) -> Result<Told, Failure> {
    if !form.is_ticked("own") {
        return Err(Failure::new(
            "the box that the picture is yours is not ticked",
            "tick it if you took the picture yourself; other pictures cannot be taken",
        ));
    }
    let word = token()?;
    let now = Timestamp::now();
    let arrival = Arrival {
        file_name: &form.file_name,
        bytes: &form.picture,
        door: Door::Link,
        link: Some(link.id),
        claim: claim(link, form),
        credit_name: form.text("name"),
        contact: form.text("contact"),
        caption: form.text("caption"),
        withdrawal_hash: Some(token_hash(&word)),
    };
    let taken = take(journal, stock, &arrival, now)?;
    if taken.was_here {
        return Ok(Told { id: taken.id, withdrawal: None });
    }
    let uses = ConsentedUse {
        on_air: form.is_ticked("on_air"),
        online: form.is_ticked("online"),
        archive: form.is_ticked("archive"),
    };
    let words = send_page::ticked_words(uses);
    let seen = journal.submission(taken.id)?.version;
    let consent = Consent { uses, recorded_at: now, recorded_by: "sender".to_owned(), words };
    journal.record_consent(taken.id, seen, &consent)?;
    Ok(Told { id: taken.id, withdrawal: Some(word) })
}

/// When and where, in the sender's words; a time as browsers write it is one of the link's zone. An hour that a change of
/// the clocks repeats is left to the desk.
fn claim(link: &MadeLink, form: &Form) -> Claim {
    let time_text = form.text("when").to_owned();
    let zone = TimeZone::get(&link.time_zone).unwrap_or(TimeZone::UTC);
    let at = time_text.parse::<DateTime>().ok().and_then(|time| zone.to_ambiguous_timestamp(time).unambiguous().ok());
    Claim { time_text, at, place_text: form.text("place").to_owned(), position: None }
}

/// The submission that a word takes back.
async fn by_word(shared: &Shared, word: &str, from: IpAddr) -> Result<SubmissionId, Response> {
    let (journal, hash) = (Arc::clone(&shared.journal), token_hash(word));
    let found = aside(move || locked(&journal).submission_by_withdrawal(&hash)).await;
    match found {
        Ok(Some(id)) => Ok(id),
        Ok(None) if !shared.gate.bears_wrong(from) => {
            Err(send_page::refusal(StatusCode::TOO_MANY_REQUESTS, "Too many wrong addresses. Please try again later."))
        }
        Ok(None) => Err(send_page::refusal(StatusCode::NOT_FOUND, "There is no such page. Please check the address.")),
        Err(_broken) => Err(send_page::refusal(
            StatusCode::INTERNAL_SERVER_ERROR,
            "This page is out of order; please try again later.",
        )),
    }
}

pub(super) async fn withdrawal_form(
    State(shared): State<Shared>,
    Sender(from): Sender,
    Path(word): Path<String>,
) -> Response {
    match by_word(&shared, &word, from).await {
        Ok(id) => send_page::withdrawal(id),
        Err(refusal) => refusal,
    }
}

/// The sender takes a picture back: it is blocked, and erased with all that was said of it.
pub(super) async fn withdrawn(
    State(shared): State<Shared>,
    Sender(from): Sender,
    Path(word): Path<String>,
) -> Response {
    let id = match by_word(&shared, &word, from).await {
        Ok(id) => id,
        Err(refusal) => return refusal,
    };
    let (journal, path) = (Arc::clone(&shared.journal), Arc::clone(&shared.path));
    let done = aside(move || {
        let asked = Withdrawal { words: "taken back by its sender's own link", erase: true, by: "sender" };
        withdraw(&mut locked(&journal), &Stock::beside(&path), id, &asked, Timestamp::now())
    })
    .await;
    match done {
        Ok(exports) => {
            shared.desk.tell();
            send_page::taken_back(id, exports.len())
        }
        Err(_broken) => {
            send_page::refusal(StatusCode::INTERNAL_SERVER_ERROR, "This page is out of order; please try again later.")
        }
    }
}
