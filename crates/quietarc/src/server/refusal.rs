//! A failure as an HTTP answer, and JSON bodies whose faults are said in our own form.

use axum::Json;
use axum::extract::rejection::JsonRejection;
use axum::extract::{FromRequest, FromRequestParts, Query, Request};
use axum::http::StatusCode;
use axum::http::request::Parts;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::Failure;

/// `{ error, hint, field }` with a status.
pub(super) struct Refusal {
    status: StatusCode,
    failure: Failure,
}

#[derive(Serialize)]
struct Body {
    error: String,
    hint: String,
    field: Option<String>,
}

impl Refusal {
    /// What is wrong, for a page that says it in its own form.
    pub(super) fn into_failure(self) -> Failure {
        self.failure
    }

    pub(super) fn not_found(what: &str) -> Self {
        Self {
            status: StatusCode::NOT_FOUND,
            failure: Failure::new(format!("{what} is not there"), "go back to the list and pick another"),
        }
    }

    /// Something asked for by name that is not there.
    pub(super) fn absent(failure: Failure) -> Self {
        Self { status: StatusCode::NOT_FOUND, failure }
    }

    /// Something that stands in the way: a name that is taken, an outing that hangs on it.
    pub(super) fn conflict(failure: Failure) -> Self {
        Self { status: StatusCode::CONFLICT, failure }
    }

    /// Somebody who may not come in.
    pub(super) fn forbidden(failure: Failure) -> Self {
        Self { status: StatusCode::FORBIDDEN, failure }
    }

    /// A fault of the program or its disk, not of the request.
    pub(super) fn internal(failure: Failure) -> Self {
        Self { status: StatusCode::INTERNAL_SERVER_ERROR, failure }
    }
}

impl<E: Into<Failure>> From<E> for Refusal {
    fn from(error: E) -> Self {
        Self { status: StatusCode::UNPROCESSABLE_ENTITY, failure: error.into() }
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let Failure { message, hint, field } = self.failure;
        (self.status, Json(Body { error: message, hint, field })).into_response()
    }
}

/// A JSON body.
pub(super) struct Ask<T>(pub(super) T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequest<S> for Ask<T> {
    type Rejection = Refusal;

    async fn from_request(request: Request, state: &S) -> Result<Self, Refusal> {
        match Json::<T>::from_request(request, state).await {
            Ok(Json(body)) => Ok(Self(body)),
            Err(rejection) => Err(Refusal { status: rejection.status(), failure: unreadable(&rejection) }),
        }
    }
}

/// What stands behind the question mark of an address.
pub(super) struct AskQuery<T>(pub(super) T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequestParts<S> for AskQuery<T> {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Refusal> {
        let read = Query::<T>::from_request_parts(parts, state).await;
        read.map(|Query(asked)| Self(asked)).map_err(|rejection| {
            let problem = format!("the question cannot be read: {}", rejection.body_text());
            Failure::new(problem, "reload the page and try again").into()
        })
    }
}

/// How axum begins the message of a body whose values do not fit.
const DATA_PREFIX: &str = "Failed to deserialize the JSON body into the target type: ";

fn unreadable(rejection: &JsonRejection) -> Failure {
    let text = rejection.body_text();
    let Some(text) = text.strip_prefix(DATA_PREFIX) else {
        return Failure::new(format!("the request cannot be read: {text}"), "reload the page and try again");
    };
    // "position: latitude in degrees 95 is outside -90 to 90 at line 1 column 60"
    let text = text.rsplit_once(" at line ").map_or(text, |(before, _position)| before);
    let field = text.split_once(": ").map(|(path, _problem)| path).filter(|path| !path.contains(' '));
    Failure {
        field: field.map(str::to_owned),
        ..Failure::new(format!("the request cannot be read: {text}"), "correct the value named and try again")
    }
}
