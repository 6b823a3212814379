//! Tables into files, as CSV or as Parquet.

use std::fs::File;
use std::io::BufWriter;
use std::path::Path;

use crate::failure::Failure;
use crate::sorting::Table;

/// Writes a table as CSV.
pub(crate) fn save_csv(path: &Path, table: &Table) -> Result<(), Failure> {
    let file = File::create(path).map_err(|error| cannot_save(path, &error))?;
    table.write_csv(BufWriter::new(file)).map_err(|error| cannot_save(path, &error))
}

/// Writes a table as Parquet.
#[cfg(feature = "parquet")]
pub(crate) fn save_parquet(path: &Path, table: &Table) -> Result<(), Failure> {
    let file = File::create(path).map_err(|error| cannot_save(path, &error))?;
    crate::sorting::write_parquet(table, file).map_err(|error| cannot_save(path, &error))
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
