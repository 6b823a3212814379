//! Reads the tables and reports how errors are distributed, not only that one is too large.

/// Errors of a table's rows, each with the row's name.
#[derive(Default)]
pub(crate) struct Spread {
    errors: Vec<(f64, String)>,
}

impl Spread {
    pub(crate) fn add(&mut self, error: f64, row: impl Into<String>) {
        self.errors.push((error.abs(), row.into()));
    }

    /// Fails with median, 95 % and worst row if the worst error is above `tolerance` or a row has none.
    pub(crate) fn assert_within(mut self, what: &str, tolerance: f64) {
        assert!(!self.errors.is_empty(), "{what}: no rows");
        self.errors.sort_by(|a, b| a.0.total_cmp(&b.0));
        let at = |share: usize| self.errors[(self.errors.len() - 1) * share / 100].0;
        let (worst, row) = &self.errors[self.errors.len() - 1];
        let report = format!(
            "{what}: {} rows, median {:.3e}, 95 % {:.3e}, max {worst:.3e} at {row}; allowed {tolerance:.3e}",
            self.errors.len(),
            at(50),
            at(95)
        );
        assert!(*worst <= tolerance, "{report}");
        println!("{report}");
    }
}

/// Rows of a table as text fields by column name.
pub(crate) struct Row {
    names: csv::StringRecord,
    fields: csv::StringRecord,
}

impl Row {
    pub(crate) fn text(&self, name: &str) -> &str {
        let column = self.names.iter().position(|n| n == name).unwrap_or_else(|| panic!("no column {name}"));
        &self.fields[column]
    }

    pub(crate) fn number(&self, name: &str) -> f64 {
        self.text(name).parse().unwrap()
    }
}

pub(crate) fn rows(table: &str) -> Vec<Row> {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(table.as_bytes());
    let names = reader.headers().unwrap().clone();
    reader.records().map(|fields| Row { names: names.clone(), fields: fields.unwrap() }).collect()
}
