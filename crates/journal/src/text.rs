//! How values stand in text columns.

use jiff::Timestamp;
use rusqlite::types::Type;
use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::JournalError;

/// An instant with all nine decimals, so that text sorts like time.
pub(crate) fn instant(at: Timestamp) -> String {
    format!("{at:.9}")
}

/// A column of text as the type that prints so.
pub(crate) fn column<T>(row: &rusqlite::Row<'_>, name: &str) -> rusqlite::Result<T>
where
    T: std::str::FromStr,
    T::Err: std::error::Error + Send + Sync + 'static,
{
    let text: String = row.get(name)?;
    text.parse().map_err(|error| conversion(row, name, error))
}

/// As [`column`], where the column may be empty.
pub(crate) fn optional_column<T>(row: &rusqlite::Row<'_>, name: &str) -> rusqlite::Result<Option<T>>
where
    T: std::str::FromStr,
    T::Err: std::error::Error + Send + Sync + 'static,
{
    let text: Option<String> = row.get(name)?;
    text.map(|text| text.parse().map_err(|error| conversion(row, name, error))).transpose()
}

fn conversion(
    row: &rusqlite::Row<'_>,
    name: &str,
    error: impl std::error::Error + Send + Sync + 'static,
) -> rusqlite::Error {
    let index = row.as_ref().column_index(name).unwrap_or_default();
    rusqlite::Error::FromSqlConversionFailure(index, Type::Text, Box::new(error))
}

/// A record as JSON, proved to be readable again: a NaN would be written as null and not come back.
pub(crate) fn to_json<T: Serialize + DeserializeOwned>(
    what: &'static str,
    key: &str,
    record: &T,
) -> Result<String, JournalError> {
    let json = serde_json::to_string(record).map_err(|source| unreadable(what, key, source))?;
    from_json::<T>(what, key, &json)?;
    Ok(json)
}

/// A record from its JSON.
pub(crate) fn from_json<T: DeserializeOwned>(what: &'static str, key: &str, json: &str) -> Result<T, JournalError> {
    serde_json::from_str(json).map_err(|source| unreadable(what, key, source))
}

fn unreadable(what: &'static str, key: &str, source: serde_json::Error) -> JournalError {
    JournalError::Unreadable { what, key: key.to_owned(), source }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn instants_sort_as_text() {
        let whole: Timestamp = "2026-03-01T00:00:00Z".parse().unwrap();
        let later: Timestamp = "2026-03-01T00:00:00.5Z".parse().unwrap();
        assert!(instant(whole) < instant(later));
        assert_eq!(instant(whole), "2026-03-01T00:00:00.000000000Z");
        assert_eq!(instant(later).parse::<Timestamp>().unwrap(), later);
    }
}
