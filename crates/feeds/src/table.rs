//! A JSON table in the two shapes in which NOAA publishes one: rows under a header row, and a list of objects.

use jiff::civil::DateTime;
use quantity::Timestamp;
use serde_json::Value;

use crate::collect::utc;
use crate::row::{Fault, quote};
use crate::{Place, json};

/// The rows of a table and the names of its columns.
pub(crate) struct Table<'a> {
    /// Columns by the header row, or the keys of the first object.
    pub(crate) names: Vec<&'a str>,
    rows: &'a [Value],
    has_header: bool,
}

impl<'a> Table<'a> {
    /// Tells the shapes apart by the first element; `None` for an empty list and for what is no list.
    pub(crate) fn of(value: &'a Value) -> Option<Self> {
        let rows = value.as_array()?;
        let names = match rows.first()? {
            Value::Object(object) => object.keys().map(String::as_str).collect(),
            Value::Array(header) => header.iter().map(|name| name.as_str().unwrap_or_default()).collect(),
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => Vec::new(),
        };
        Some(Self { names, rows, has_header: rows.first().is_some_and(Value::is_array) })
    }

    /// Whether there is a column of that name.
    pub(crate) fn has(&self, name: &str) -> bool {
        self.names.contains(&name)
    }

    /// Whether the names stand in a header row.
    pub(crate) fn is_under_header(&self) -> bool {
        self.has_header
    }

    /// The rows with their places, without the header row.
    pub(crate) fn rows(&self) -> impl Iterator<Item = (Place, Row<'_>)> {
        let skip = usize::from(self.has_header);
        let rows = self.rows.iter().enumerate().skip(skip);
        rows.map(|(index, value)| (Place::Entry(index + 1), Row { names: &self.names, value }))
    }
}

/// One row of either shape.
#[derive(Clone, Copy)]
pub(crate) struct Row<'a> {
    names: &'a [&'a str],
    value: &'a Value,
}

impl<'a> Row<'a> {
    pub(crate) fn get(self, name: &str) -> Option<&'a Value> {
        match self.value {
            Value::Object(object) => object.get(name),
            Value::Array(cells) => cells.get(self.names.iter().position(|known| *known == name)?),
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => None,
        }
    }

    /// A number; `None` for null, for an absent key, and for the publisher's own mark of a missing value.
    pub(crate) fn number(self, field: &'static str) -> Result<Option<f64>, Fault> {
        json::number(self.get(field)).map_err(|problem| Fault::new(field, problem))
    }

    /// An instant.
    pub(crate) fn time(self, field: &'static str) -> Result<Timestamp, Fault> {
        let text = self.get(field).and_then(Value::as_str).ok_or_else(|| Fault::new(field, "it is not a text"))?;
        instant(field, text)
    }
}

/// `2026-02-02 00:00:00.000` and `2026-07-31T00:00:00` are UTC; a zone is respected where there is one.
pub(crate) fn instant(field: &'static str, text: &str) -> Result<Timestamp, Fault> {
    if let Ok(instant) = text.parse::<Timestamp>() {
        return Ok(instant);
    }
    let civil: DateTime =
        text.parse().map_err(|_bad| Fault::new(field, format!("\"{}\" is not a time", quote(text))))?;
    utc(civil)
}
