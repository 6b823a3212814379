//! The body of an answer, as far as every JSON service has the same troubles with it.

use serde_json::{Map, Value};

use crate::row::quote;
use crate::{FeedError, json};

/// Largest JSON answer read, bytes. A grid forecast of a week has 130 kB, a Locationforecast 60 kB.
const LARGEST_JSON_BYTES: usize = 8 * 1024 * 1024;
const GZIP: [u8; 2] = [0x1f, 0x8b];

/// The error for something else than what was asked for.
pub(crate) fn not_weather(source_name: &str, expected: &'static str, found: impl Into<String>) -> FeedError {
    FeedError::NotWeather { source_name: source_name.to_owned(), expected, found: found.into() }
}

/// The error for a key that every such answer has.
pub(crate) fn bad_key(source_name: &str, key: &str, problem: &'static str) -> FeedError {
    FeedError::BadField { source_name: source_name.to_owned(), key: key.to_owned(), problem }
}

/// The bytes as text, when they can be text of the size expected.
pub(crate) fn text<'a>(
    bytes: &'a [u8],
    source_name: &str,
    expected: &'static str,
) -> Result<std::borrow::Cow<'a, str>, FeedError> {
    text_up_to(bytes, source_name, expected, LARGEST_JSON_BYTES)
}

/// As [`text`], with a bound of its own.
pub(crate) fn text_up_to<'a>(
    bytes: &'a [u8],
    source_name: &str,
    expected: &'static str,
    limit: usize,
) -> Result<std::borrow::Cow<'a, str>, FeedError> {
    if bytes.len() > limit {
        let found = format!("it has {} bytes, more than the {limit} read at most", bytes.len());
        return Err(not_weather(source_name, expected, found));
    }
    if bytes.starts_with(&GZIP) {
        return Err(not_weather(source_name, expected, "it is compressed (gzip)"));
    }
    let text = String::from_utf8_lossy(bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes));
    match text.trim_start().chars().next() {
        None => Err(FeedError::Empty { source_name: source_name.to_owned() }),
        Some('<') => Err(not_weather(source_name, expected, "it is a web page (HTML) or XML")),
        Some(_) => Ok(text),
    }
}

/// A JSON object that is no error message of the service.
pub(crate) fn object(bytes: &[u8], source_name: &str, expected: &'static str) -> Result<Map<String, Value>, FeedError> {
    let text = text(bytes, source_name, expected)?;
    if !text.trim_start().starts_with(['{', '[']) {
        return Err(not_weather(source_name, expected, format!("it begins with \"{}\"", quote(text.trim_start()))));
    }
    let Value::Object(object) = json::parse(&text, source_name)? else {
        return Err(not_weather(source_name, expected, "it is a JSON list"));
    };
    match problem(&object, source_name) {
        Some(error) => Err(error),
        None => Ok(object),
    }
}

/// A problem in the form of RFC 9457, as the US service sends it: `title`, `status`, `type`.
fn problem(object: &Map<String, Value>, source_name: &str) -> Option<FeedError> {
    let title = object.get("title").and_then(Value::as_str)?;
    let is_problem = object.contains_key("status") || object.get("type").and_then(Value::as_str) == Some("about:blank");
    (is_problem && !object.contains_key("properties")).then(|| FeedError::ServiceProblem {
        source_name: source_name.to_owned(),
        title: title.chars().filter(|c| !c.is_control()).take(80).collect(),
        status: object.get("status").and_then(Value::as_u64).and_then(|status| u16::try_from(status).ok()),
    })
}

/// A key of an object as an object.
pub(crate) fn child<'a>(parent: &'a Map<String, Value>, key: &str) -> Option<&'a Map<String, Value>> {
    parent.get(key).and_then(Value::as_object)
}
