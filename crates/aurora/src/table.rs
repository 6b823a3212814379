//! Reading the small published tables that are compiled into the crate.

/// Rows of a comma-separated table, without `#` comments and without the header line.
///
/// The tables are constants of the build; a cell that is no number becomes NaN, and a unit test of each
/// table's owner refuses NaN, so that nothing can be lost silently.
pub(crate) fn rows(text: &'static str) -> impl Iterator<Item = Vec<&'static str>> {
    text.lines()
        .filter(|line| !line.starts_with('#') && !line.trim().is_empty())
        .skip(1)
        .map(|line| line.split(',').collect())
}

/// A cell as a number.
pub(crate) fn number(row: &[&str], column: usize) -> f64 {
    row.get(column).and_then(|cell| cell.trim().parse().ok()).unwrap_or(f64::NAN)
}
