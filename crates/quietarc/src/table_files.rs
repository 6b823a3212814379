//! Tables into files, as CSV or as Parquet.

use std::path::Path;

use crate::failure::Failure;
use crate::out_file;
use crate::sorting::Table;

/// Refuses a name that no table has: a slip of the hand must not put a table in the place of a picture.
///
/// * `ending`: of the tables of that form, without its dot.
///
/// # Errors
///
/// A file, there or to be made, with another ending; a pipe or a terminal may have any name.
pub(crate) fn is_table(path: &Path, ending: &str) -> Result<(), Failure> {
    let is_special = path.metadata().is_ok_and(|about| !about.is_file());
    if is_special || path.extension().is_some_and(|found| found.eq_ignore_ascii_case(ending)) {
        return Ok(());
    }
    Err(Failure::new(format!("{} does not end in .{ending}", path.display()), format!("end the name in .{ending}")))
}

/// Writes a table as CSV.
pub(crate) fn save_csv(path: &Path, table: &Table) -> Result<(), Failure> {
    is_table(path, "csv")?;
    let mut bytes = Vec::new();
    table.write_csv(&mut bytes).map_err(|error| cannot_save(path, &error))?;
    out_file::write(path, &bytes)
}

/// Writes a table as Parquet.
#[cfg(feature = "parquet")]
pub(crate) fn save_parquet(path: &Path, table: &Table) -> Result<(), Failure> {
    is_table(path, "parquet")?;
    let mut bytes = Vec::new();
    crate::sorting::write_parquet(table, &mut bytes).map_err(|error| cannot_save(path, &error))?;
    out_file::write(path, &bytes)
}

/// Says that this program writes no Parquet.
#[cfg(not(feature = "parquet"))]
pub(crate) fn save_parquet(path: &Path, _table: &Table) -> Result<(), Failure> {
    Err(Failure::new(
        format!("{} cannot be written: this program was built without Parquet", path.display()),
        "save it as CSV, or build with the feature parquet",
    ))
}

/// Writes a table as what its ending says.
pub(crate) fn save_by_ending(path: &Path, table: &Table) -> Result<(), Failure> {
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_ascii_lowercase());
    match ending.as_deref() {
        Some("csv") => save_csv(path, table),
        Some("parquet") => save_parquet(path, table),
        _other => {
            Err(Failure::new(format!("{} is no table by its ending", path.display()), "end it in .csv or .parquet"))
        }
    }
}

fn cannot_save(path: &Path, error: &dyn std::fmt::Display) -> Failure {
    Failure::new(
        format!("{} cannot be written: {error}", path.display()),
        "give a path in a folder you can write to, with room on its disk",
    )
}
