//! The front end, embedded in the program.

use axum::http::header::{CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE};
use axum::http::{StatusCode, Uri};
use axum::response::{IntoResponse, Response};
use rust_embed::RustEmbed;

/// What Vite built.
#[derive(RustEmbed)]
#[folder = "../../web/dist"]
struct Pages;

/// Whether there are any.
pub(super) fn are_there() -> bool {
    Pages::get("index.html").is_some()
}

/// Nothing from another host, no inline script.
const POLICY: &str = "default-src 'self'; img-src 'self' data: blob:; style-src 'self' 'unsafe-inline'; object-src 'none'; base-uri 'none'; frame-ancestors 'none'";

/// A file of the front end; the page itself for any other path, so that its own addresses can be reloaded.
pub(super) async fn page(uri: Uri) -> Response {
    let path = uri.path().trim_start_matches('/');
    if path.starts_with("api/") {
        return super::refusal::Refusal::not_found(path).into_response();
    }
    let (name, file) = match Pages::get(path).filter(|_| !path.is_empty()) {
        Some(file) => (path, Some(file)),
        None => ("index.html", Pages::get("index.html")),
    };
    let Some(file) = file else {
        let text = "The pages are not built into this program. Build it with: cargo xtask demo";
        return (StatusCode::SERVICE_UNAVAILABLE, text).into_response();
    };
    // names under assets/ carry a hash of their content
    let cache = if name.starts_with("assets/") { "max-age=31536000, immutable" } else { "no-cache" };
    let kind = file.metadata.mimetype().to_owned();
    let headers = [(CONTENT_TYPE, kind.as_str()), (CACHE_CONTROL, cache), (CONTENT_SECURITY_POLICY, POLICY)];
    (headers, file.data.into_owned()).into_response()
}
