//! An outlook as a document to keep.

use axum::extract::{Path, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE, X_CONTENT_TYPE_OPTIONS};
use axum::response::IntoResponse;
use draw::documents::{DocumentKind, file_name};
use job::OutlookRequest;

use super::Shared;
use super::api::{aside, with_record};
use super::refusal::{Ask, Refusal};
use crate::{Failure, exports};

/// The document of that name for a request, as a file to save.
pub(super) async fn export(
    State(shared): State<Shared>,
    Path(name): Path<String>,
    Ask(request): Ask<OutlookRequest>,
) -> Result<impl IntoResponse, Refusal> {
    let kind = DocumentKind::named(&name).ok_or_else(|| Refusal::not_found(&format!("export {name:?}")))?;
    let (file, document) = aside(move || {
        let report = with_record(&shared, request)?;
        Ok::<_, Failure>((file_name(&report, kind), exports::document(kind, &report)?))
    })
    .await?;
    let headers = [
        (CONTENT_TYPE, kind.media_type().to_owned()),
        // file names are plain letters, digits, hyphens and a dot
        (CONTENT_DISPOSITION, format!("attachment; filename=\"{file}\"")),
        (X_CONTENT_TYPE_OPTIONS, "nosniff".to_owned()),
    ];
    Ok((headers, document))
}
