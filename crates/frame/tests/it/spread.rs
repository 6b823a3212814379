//! Reads the tables and reports how errors are distributed.

/// Rows of a table as text fields by column name; lines that begin with `#` are left out.
pub(crate) fn rows(table: &str) -> Vec<Row> {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(table.as_bytes());
    let names = reader.headers().unwrap().clone();
    reader.records().map(|fields| Row { names: names.clone(), fields: fields.unwrap() }).collect()
}

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

    pub(crate) fn maybe(&self, name: &str) -> Option<f64> {
        self.text(name).parse().ok()
    }
}

/// The value below which `share` of the values lie.
pub(crate) fn quantile(values: &[f64], share: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let place = share * (sorted.len() - 1) as f64;
    let (low, part) = (place.floor(), place.fract());
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a place in a short list")]
    let i = low as usize;
    sorted[i] + part * (sorted[(i + 1).min(sorted.len() - 1)] - sorted[i])
}
