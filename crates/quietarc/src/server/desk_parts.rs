//! A form with a picture, read piece by piece: so large, so fast, and no further.

use std::collections::BTreeMap;
use std::time::Duration;

use axum::extract::multipart::{Field, Multipart};
use tokio::time::timeout;

use crate::Failure;
use crate::desk::LARGEST_SENT;

/// How long a form may take.
#[derive(Debug, Clone, Copy)]
pub(super) struct Patience {
    /// Between two pieces.
    pause: Duration,
    /// In all.
    form: Duration,
}

/// A pause: a phone at the edge of its network takes some seconds. A form: 60 MB at 2 Mbit/s.
pub(super) const PATIENCE: Patience = Patience { pause: Duration::from_secs(20), form: Duration::from_mins(4) };
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
pub(super) async fn read(parts: Multipart, patience: Patience) -> Result<Form, Failure> {
    timeout(patience.form, gather(parts, patience.pause)).await.unwrap_or_else(|_elapsed| Err(too_slow()))
}

async fn gather(mut parts: Multipart, pause: Duration) -> Result<Form, Failure> {
    let mut form = Form::default();
    let mut text = 0;
    while let Some(field) =
        timeout(pause, parts.next_field()).await.map_err(|_elapsed| too_slow())?.map_err(|error| broken(&error))?
    {
        let name = field.name().unwrap_or_default().to_owned();
        if name == "picture" {
            let file_name = field.file_name().unwrap_or_default().to_owned();
            let bytes = content(field, LARGEST_SENT, pause).await?.ok_or_else(too_large)?;
            if !bytes.is_empty() {
                (form.file_name, form.picture) = (file_name, bytes);
            }
            continue;
        }
        let bytes = content(field, MOST_TEXT, pause).await?.ok_or_else(too_many_words)?;
        text += bytes.len() + name.len();
        if text > MOST_TEXT {
            return Err(too_many_words());
        }
        form.fields.insert(name, String::from_utf8_lossy(&bytes).into_owned());
    }
    if form.picture.is_empty() {
        return Err(Failure::new("there is no picture in the form", "choose a picture and send again"));
    }
    Ok(form)
}

/// What came, or `None` where it is too much: that is read and thrown away, for an answer before the end would reach no browser.
async fn content(mut field: Field<'_>, most: usize, pause: Duration) -> Result<Option<Vec<u8>>, Failure> {
    let mut bytes = Vec::new();
    let mut is_too_much = false;
    while let Some(piece) = next_piece(&mut field, pause).await? {
        is_too_much |= bytes.len() + piece.len() > most;
        if is_too_much {
            bytes = Vec::new();
        } else {
            bytes.extend_from_slice(&piece);
        }
    }
    Ok((!is_too_much).then_some(bytes))
}

async fn next_piece(field: &mut Field<'_>, pause: Duration) -> Result<Option<axum::body::Bytes>, Failure> {
    let piece = timeout(pause, field.chunk()).await.map_err(|_elapsed| too_slow())?;
    piece.map_err(|error| broken(&error))
}

fn too_slow() -> Failure {
    Failure::new("the picture came too slowly", "send it again where the network is better")
}

fn too_many_words() -> Failure {
    Failure::new("the words of the form are too long", "write less")
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

#[cfg(test)]
mod tests {
    use std::convert::Infallible;

    use axum::body::{Body, Bytes};
    use axum::extract::FromRequest;
    use axum::http::Request;
    use futures_util::stream::unfold;

    use super::*;

    /// A form of which one byte comes every so often, without an end.
    fn trickle(every: Duration) -> Body {
        let head = "--b\r\nContent-Disposition: form-data; name=\"picture\"; filename=\"a.jpg\"\r\n\r\n";
        Body::from_stream(unfold(0usize, move |sent| async move {
            if sent > 0 {
                tokio::time::sleep(every).await;
            }
            let piece = if sent == 0 { Bytes::from(head) } else { Bytes::from_static(b"x") };
            Some((Ok::<_, Infallible>(piece), sent + 1))
        }))
    }

    fn outcome(every: Duration, patience: Patience) -> String {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_time().build().unwrap();
        runtime.block_on(async {
            let request = Request::post("/")
                .header("content-type", "multipart/form-data; boundary=b")
                .body(trickle(every))
                .unwrap();
            let parts = Multipart::from_request(request, &()).await.unwrap();
            read(parts, patience).await.map(|_form| ()).unwrap_err().message
        })
    }

    #[test]
    fn a_form_that_trickles_or_stands_still_is_ended() {
        let ms = Duration::from_millis;
        // each byte comes in time, and the whole never does
        assert!(outcome(ms(2), Patience { pause: ms(1_000), form: ms(120) }).contains("too slowly"));
        // nothing comes any more
        assert!(outcome(ms(60_000), Patience { pause: ms(50), form: ms(60_000) }).contains("too slowly"));
    }
}
