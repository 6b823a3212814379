//! Reads a check table and reports how far off its rows are.

use std::collections::HashMap;

/// One row, by column name.
pub(crate) struct Row(HashMap<String, String>);

impl Row {
    pub(crate) fn text(&self, column: &str) -> &str {
        self.0.get(column).unwrap_or_else(|| panic!("no column {column}"))
    }

    /// A number, or `None` for an empty cell.
    pub(crate) fn maybe(&self, column: &str) -> Option<f64> {
        let text = self.text(column);
        (!text.is_empty()).then(|| text.parse().unwrap_or_else(|_| panic!("{column}: {text} is no number")))
    }

    pub(crate) fn number(&self, column: &str) -> f64 {
        self.maybe(column).unwrap_or_else(|| panic!("{column} is empty"))
    }
}

pub(crate) fn rows(text: &str) -> Vec<Row> {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    let rows: Vec<Row> = reader.deserialize().map(|row| Row(row.unwrap())).collect();
    assert!(rows.len() > 100, "the table holds {} rows only", rows.len());
    rows
}

/// Misses of one quantity over a table: the whole distribution is shown when the largest is too large.
pub(crate) struct Misses {
    what: &'static str,
    values: Vec<(f64, String)>,
}

impl Misses {
    pub(crate) fn new(what: &'static str) -> Self {
        Self { what, values: Vec::new() }
    }

    pub(crate) fn add(&mut self, miss: f64, row: impl Into<String>) {
        self.values.push((if miss.is_nan() { f64::INFINITY } else { miss.abs() }, row.into()));
    }

    pub(crate) fn assert_below(mut self, tolerance: f64) {
        assert!(!self.values.is_empty(), "{}: nothing was compared", self.what);
        self.values.sort_by(|a, b| a.0.total_cmp(&b.0));
        let at = |percent: usize| self.values[(self.values.len() - 1) * percent / 100].0;
        let (worst, row) = &self.values[self.values.len() - 1];
        let report = format!(
            "{}: {} rows, median {:.3e}, 95 % {:.3e}, largest {worst:.3e} at {row}, allowed {tolerance:.1e}",
            self.what,
            self.values.len(),
            at(50),
            at(95),
        );
        assert!(*worst <= tolerance, "{report}");
    }
}
