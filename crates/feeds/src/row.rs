use std::fmt;

use serde::Serialize;

/// Where a row stands in its table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// Line of a text, from 1.
    Line(usize),
    /// Entry of a JSON list, from 1.
    Entry(usize),
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Line(number) => write!(f, "line {number}"),
            Self::Entry(number) => write!(f, "entry {number}"),
        }
    }
}

/// One row of a table that was left out, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RowError {
    /// Where it stands.
    pub place: Place,
    /// The field at fault, as the publisher calls it.
    pub field: &'static str,
    /// What is wrong with it.
    pub problem: String,
}

impl fmt::Display for RowError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, {}: {}", self.place, self.field, self.problem)
    }
}

impl std::error::Error for RowError {}

/// What is wrong with a field of a row whose place the caller knows.
#[derive(Debug)]
pub(crate) struct Fault {
    pub(crate) field: &'static str,
    pub(crate) problem: String,
}

impl Fault {
    pub(crate) fn new(field: &'static str, problem: impl Into<String>) -> Self {
        Self { field, problem: problem.into() }
    }

    pub(crate) fn at(self, place: Place) -> RowError {
        RowError { place, field: self.field, problem: self.problem }
    }
}

/// Longest piece of foreign text repeated in a message.
const LONGEST_QUOTE: usize = 24;

/// A piece of foreign text, short and without control characters, fit for a message.
pub(crate) fn quote(text: &str) -> String {
    let mut short: String = text.chars().take(LONGEST_QUOTE).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.chars().nth(LONGEST_QUOTE).is_some() {
        short.push('…');
    }
    short
}
