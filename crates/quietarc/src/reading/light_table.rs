use job::ReadReport;

use crate::failure::Failure;

/// Light against time as a table of comma-separated values.
///
/// # Errors
///
/// None that a report can cause.
pub(crate) fn light_table(report: &ReadReport) -> Result<Vec<u8>, Failure> {
    let fault = |error: &dyn std::fmt::Display| {
        Failure::new(format!("the table cannot be made: {error}"), "report this as a bug")
    };
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(["utc", "light"]).map_err(|error| fault(&error))?;
    for point in &report.light {
        table.write_record([point.at.to_string(), format!("{:.6e}", point.light)]).map_err(|error| fault(&error))?;
    }
    table.into_inner().map_err(|error| fault(&error))
}
