//! A form with a picture, read piece by piece: so large, so fast, and no further.

use std::collections::BTreeMap;
use std::time::Duration;

use axum::extract::multipart::{Field, Multipart};
use tokio::time::timeout;

use crate::Failure;
use crate::desk::LARGEST_SENT;

/// Longest pause between two pieces: a phone at the edge of its network takes some seconds.
const LONGEST_PAUSE: Duration = Duration::from_secs(20);
/// Longest time for a whole form: 60 MB at 2 Mbit/s.
const LONGEST_FORM: Duration = Duration::from_mins(4);
/// Letters of all text fields, bytes.
const MOST_TEXT: usize = 64_000;
/// Largest form that is read to its end, bytes: what is larger than a picture may be is thrown away as it comes.
pub(super) const LARGEST_FORM: usize = 250_000_000;

/// A form as it came.
#[derive(Default)]
pub(super) struct Form {
    pub(super) file_name: String,
    pub(super) picture: Vec<u8>,
    fields: BTreeMap<String, String>,
}

impl Form {
    /// A text field; empty where it is missing.
    pub(super) fn text(&self, name: &str) -> &str {
        self.fields.get(name).map_or("", String::as_str)
    }

    /// Whether a box is ticked.
    pub(super) fn is_ticked(&self, name: &str) -> bool {
        !self.text(name).is_empty()
    }
}

/// Reads a form with one picture.
pub(super) async fn read(parts: Multipart) -> Result<Form, Failure> {
    timeout(LONGEST_FORM, gather(parts)).await.unwrap_or_else(|_elapsed| Err(too_slow()))
}

async fn gather(mut parts: Multipart) -> Result<Form, Failure> {
    let mut form = Form::default();
    let mut text = 0;
    while let Some(field) = timeout(LONGEST_PAUSE, parts.next_field())
        .await
        .map_err(|_elapsed| too_slow())?
        .map_err(|error| broken(&error))?
    {
        let name = field.name().unwrap_or_default().to_owned();
        if name == "picture" {
            let file_name = field.file_name().unwrap_or_default().to_owned();
            let bytes = content(field, LARGEST_SENT).await?;
            if !bytes.is_empty() {
                (form.file_name, form.picture) = (file_name, bytes);
            }
            continue;
        }
        let bytes = content(field, MOST_TEXT).await?;
        text += bytes.len() + name.len();
        if text > MOST_TEXT {
            return Err(Failure::new("the words of the form are too long", "write less"));
        }
        form.fields.insert(name, String::from_utf8_lossy(&bytes).into_owned());
    }
    if form.picture.is_empty() {
        return Err(Failure::new("there is no picture in the form", "choose a picture and send again"));
    }
    Ok(form)
}

/// What is too much is read and thrown away: an answer before the end would reach no browser.
async fn content(mut field: Field<'_>, most: usize) -> Result<Vec<u8>, Failure> {
    let mut bytes = Vec::new();
    let mut is_too_much = false;
    while let Some(piece) = next_piece(&mut field).await? {
        is_too_much |= bytes.len() + piece.len() > most;
        if is_too_much {
            bytes = Vec::new();
        } else {
            bytes.extend_from_slice(&piece);
        }
    }
    if is_too_much { Err(too_large()) } else { Ok(bytes) }
}

async fn next_piece(field: &mut Field<'_>) -> Result<Option<axum::body::Bytes>, Failure> {
    let piece = timeout(LONGEST_PAUSE, field.chunk()).await.map_err(|_elapsed| too_slow())?;
    piece.map_err(|error| broken(&error))
}

fn too_slow() -> Failure {
    Failure::new("the picture came too slowly", "send it again where the network is better")
}

fn too_large() -> Failure {
    let most = LARGEST_SENT / 1_000_000;
    Failure::new("the picture is too large", format!("send a picture of {most} MB at most"))
}

fn broken(error: &axum::extract::multipart::MultipartError) -> Failure {
    if error.status() == axum::http::StatusCode::PAYLOAD_TOO_LARGE {
        return too_large();
    }
    Failure::new("the form broke off on its way", "send it again")
}
