//! Tables of a reading: the light of a keogram, spectra, and the period map.

use job::{ReadCellPeriod, ReadKeogram, ReadReport, ReadSpectrum};

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

/// Mean spectra of the sky: a row for each block of time and frequency.
///
/// Columns: `from_utc` and `to_utc` of the block, `frames_averaged` to a sample, `cells` that it is the mean of, `frequency_hz`,
/// `power` (share of the variance, 0 to 1) and `could_be_shown`, 1 where length, rate and exposure allow that frequency, else 0.
pub(crate) fn spectra_table(report: &ReadReport) -> Table {
    let spectra = report.pulsation.iter().flat_map(|pulsation| &pulsation.spectra);
    let points =
        |of: &ReadSpectrum| of.frequencies_hz.iter().copied().zip(of.powers.iter().copied()).collect::<Vec<_>>();
    let rows: Vec<(&ReadSpectrum, f64, f64)> =
        spectra.flat_map(|of| points(of).into_iter().map(move |(hz, power)| (of, hz, power))).collect();
    let text = |of: &dyn Fn(&ReadSpectrum) -> String| Values::Text(rows.iter().map(|row| Some(of(row.0))).collect());
    let whole =
        |of: &dyn Fn(&ReadSpectrum) -> u32| Values::Whole(rows.iter().map(|row| Some(i64::from(of(row.0)))).collect());
    let is_shown = |(of, hz, _): &(&ReadSpectrum, f64, f64)| (of.shown_hz[0]..=of.shown_hz[1]).contains(hz);
    let columns = vec![
        ("from_utc", text(&|of| of.from.to_string())),
        ("to_utc", text(&|of| of.to.to_string())),
        ("frames_averaged", whole(&|of| of.frames_averaged)),
        ("cells", whole(&|of| of.cells)),
        ("frequency_hz", Values::Number(rows.iter().map(|row| Some(row.1)).collect())),
        ("power", Values::Number(rows.iter().map(|row| Some(row.2)).collect())),
        ("could_be_shown", Values::Whole(rows.iter().map(|row| Some(i64::from(is_shown(row)))).collect())),
    ];
    Table { columns, rows: rows.len() }
}

/// The period map: a row for each block of time and cell of sky that pulsates.
///
/// Columns: `from_utc` and `to_utc` of the block, `altitude_deg` and `azimuth_deg` of the cell, `period_s` and `period_sigma_s`,
/// `is_regular` (1 or 0), `relative_amplitude`, and the medians `on_s` and `off_s`.
pub(crate) fn periods_table(report: &ReadReport) -> Table {
    let rows: Vec<&ReadCellPeriod> = report.pulsation.iter().flat_map(|pulsation| &pulsation.period_map).collect();
    let text = |of: &dyn Fn(&ReadCellPeriod) -> String| Values::Text(rows.iter().map(|row| Some(of(row))).collect());
    let number = |of: &dyn Fn(&ReadCellPeriod) -> Option<f64>| Values::Number(rows.iter().map(|row| of(row)).collect());
    let columns = vec![
        ("from_utc", text(&|row| row.from.to_string())),
        ("to_utc", text(&|row| row.to.to_string())),
        ("altitude_deg", number(&|row| Some(row.alt_deg))),
        ("azimuth_deg", number(&|row| Some(row.az_deg))),
        ("period_s", number(&|row| Some(row.period_s))),
        ("period_sigma_s", number(&|row| Some(row.period_sigma_s))),
        ("is_regular", Values::Whole(rows.iter().map(|row| Some(i64::from(row.is_regular))).collect())),
        ("relative_amplitude", number(&|row| Some(row.relative_amplitude))),
        ("on_s", number(&|row| row.on_s)),
        ("off_s", number(&|row| row.off_s)),
    ];
    Table { columns, rows: rows.len() }
}
