//! The light of a keogram as a table: a row for each time and place of the line that holds light.

use job::{ReadKeogram, ReadReport};

use crate::sorting::{Table, Values};

/// Light against time and place.
///
/// Columns: `utc`, `zenith_angle_deg` (positive toward the line's azimuth), `altitude_deg`, `latitude_deg`, `longitude_deg` and
/// `magnetic_latitude_deg` at the height assumed, `light`, and `unit` of that light.
pub(crate) fn table(report: &ReadReport, keogram: &ReadKeogram) -> Table {
    let rows: Vec<_> = keogram
        .columns
        .iter()
        .flat_map(|column| {
            let lit = keogram.bins.iter().zip(&column.values);
            lit.filter_map(|(bin, light)| Some((column.at, bin, (*light)?)))
        })
        .collect();
    let number = |of: &dyn Fn(&job::ReadBin) -> Option<f64>| Values::Number(rows.iter().map(|row| of(row.1)).collect());
    let text = |of: &dyn Fn(usize) -> String| Values::Text((0..rows.len()).map(|row| Some(of(row))).collect());
    let columns = vec![
        ("utc", text(&|row| rows[row].0.to_string())),
        ("zenith_angle_deg", number(&|bin| Some(bin.zenith_angle_deg))),
        ("altitude_deg", number(&|bin| Some(bin.alt_deg))),
        ("latitude_deg", number(&|bin| bin.latitude_deg)),
        ("longitude_deg", number(&|bin| bin.longitude_deg)),
        ("magnetic_latitude_deg", number(&|bin| bin.magnetic_latitude_deg)),
        ("light", Values::Number(rows.iter().map(|row| Some(f64::from(row.2))).collect())),
        ("unit", text(&|_row| report.scale_words())),
    ];
    Table { columns, rows: rows.len() }
}
