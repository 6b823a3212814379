//! JSON as servers really send it.

use serde::de::{DeserializeOwned, IgnoredAny};
use serde_json::Value;

use crate::FeedError;

/// Parses JSON, reading a bare `NaN` as null, which some servers send for a gap.
pub(crate) fn parse(text: &str, source_name: &str) -> Result<Value, FeedError> {
    parse_as(text, source_name)
}

/// Whether a text is JSON, without keeping what it holds: takes no memory, however many values there are.
pub(crate) fn check(text: &str, source_name: &str) -> Result<(), FeedError> {
    parse_as(text, source_name).map(|IgnoredAny| ())
}

/// Parses JSON straight into a shape of its own: for answers too large to hold as values.
pub(crate) fn parse_as<T: DeserializeOwned>(text: &str, source_name: &str) -> Result<T, FeedError> {
    serde_json::from_str(text)
        .or_else(|error| if text.contains("NaN") { serde_json::from_str(&without_nan(text)) } else { Err(error) })
        .map_err(|error| FeedError::BadJson {
            source_name: source_name.to_owned(),
            line: error.line(),
            column: error.column(),
            problem: if error.is_eof() { "breaks off".to_owned() } else { without_position(&error) },
        })
}

/// The message of a syntax error; its position is told apart.
fn without_position(error: &serde_json::Error) -> String {
    let message = error.to_string();
    let message = message.split(" at line ").next().unwrap_or_default();
    format!("cannot be read: {message}")
}

/// Replaces `NaN` outside strings by `null`.
fn without_nan(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + text.len() / 3);
    // pieces between quotation marks: even ones stand outside strings (escaped marks do not occur in these feeds)
    for (index, piece) in text.split('"').enumerate() {
        if index > 0 {
            out.push('"');
        }
        if index % 2 == 0 { out.push_str(&piece.replace("NaN", "null")) } else { out.push_str(piece) }
    }
    out
}

/// A finite number, given as a number or as a string; `Ok(None)` for null.
pub(crate) fn number(value: Option<&Value>) -> Result<Option<f64>, String> {
    match value {
        None | Some(Value::Null) => Ok(None),
        Some(Value::Number(number)) => Ok(number.as_f64()),
        Some(Value::String(text)) => match text.trim().parse::<f64>() {
            Ok(number) if number.is_nan() => Ok(None),
            Ok(number) if number.is_finite() => Ok(Some(number)),
            _bad => Err(format!("\"{}\" is not a number", crate::row::quote(text))),
        },
        Some(Value::Bool(_) | Value::Array(_) | Value::Object(_)) => Err("it is not a number".to_owned()),
    }
}

/// What a JSON object holds, by its keys, for a message.
pub(crate) fn keys<'a>(names: impl Iterator<Item = &'a String>) -> String {
    let names: Vec<String> = names.take(6).map(|name| crate::row::quote(name)).collect();
    if names.is_empty() { "nothing".to_owned() } else { names.join(", ") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bare_nan_is_a_gap_and_a_quoted_one_stays() {
        let value = parse(r#"{"a":[1.0,NaN],"NaN":2}"#, "x").unwrap();
        assert_eq!(value.to_string(), r#"{"NaN":2,"a":[1.0,null]}"#);
    }

    #[test]
    fn json_that_breaks_off_is_told_from_json_that_is_wrong() {
        let cut = parse("[1,", "x").unwrap_err().to_string();
        assert_eq!(cut, "x, line 1, column 3: the JSON breaks off");
        let wrong = parse("[1 2]", "x").unwrap_err().to_string();
        assert!(wrong.contains("column 4") && wrong.contains("expected"), "{wrong}");
    }
}
