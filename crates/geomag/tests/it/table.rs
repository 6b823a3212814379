//! Reading check tables and judging errors by their distribution.

use std::collections::HashMap;

/// A table of numbers with named columns; text and empty cells read as NaN.
pub(crate) struct Table {
    columns: HashMap<String, usize>,
    rows: Vec<csv::StringRecord>,
}

impl Table {
    pub(crate) fn read(text: &str) -> Self {
        let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
        let columns = reader.headers().unwrap().iter().enumerate().map(|(i, name)| (name.to_owned(), i)).collect();
        let rows: Vec<_> = reader.records().map(Result::unwrap).collect();
        assert!(rows.len() > 100, "the table is cut short");
        Self { columns, rows }
    }

    pub(crate) fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|record| Row { columns: &self.columns, record })
    }
}

pub(crate) struct Row<'a> {
    columns: &'a HashMap<String, usize>,
    record: &'a csv::StringRecord,
}

impl Row<'_> {
    pub(crate) fn text(&self, column: &str) -> &str {
        &self.record[self.columns[column]]
    }

    pub(crate) fn number(&self, column: &str) -> f64 {
        self.text(column).parse().unwrap_or(f64::NAN)
    }

    pub(crate) fn label(&self) -> String {
        self.record.iter().take(5).collect::<Vec<_>>().join(", ")
    }
}

/// Errors of one kind over a table.
#[derive(Default)]
pub(crate) struct Errors {
    all: Vec<(f64, String)>,
}

impl Errors {
    pub(crate) fn add(&mut self, error: f64, label: impl Into<String>) {
        self.all.push((if error.is_nan() { f64::INFINITY } else { error.abs() }, label.into()));
    }

    fn sorted(&self) -> Vec<&(f64, String)> {
        let mut sorted: Vec<_> = self.all.iter().collect();
        sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
        sorted
    }

    pub(crate) fn summary(&self) -> String {
        let sorted = self.sorted();
        let at = |share: usize| sorted[(sorted.len() - 1) * share / 100].0;
        let (worst, label) = sorted[sorted.len() - 1];
        format!("n {}, median {:.5}, 95 % {:.5}, max {worst:.5} at [{label}]", sorted.len(), at(50), at(95))
    }

    /// Every error within `tolerance`.
    pub(crate) fn assert_within(&self, what: &str, tolerance: f64) {
        assert!(!self.all.is_empty(), "{what}: nothing was compared");
        assert!(
            self.all.iter().all(|(error, _)| *error <= tolerance),
            "{what}: {} (tolerance {tolerance})",
            self.summary()
        );
    }

    /// 95 of 100 errors within `tolerance`.
    pub(crate) fn assert_usually_within(&self, what: &str, tolerance: f64) {
        let inside = self.all.iter().filter(|(error, _)| *error <= tolerance).count();
        assert!(inside * 100 >= self.all.len() * 95, "{what}: {} (95 % within {tolerance})", self.summary());
    }
}
