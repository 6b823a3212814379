//! The IGRF-14 table and its interpolation in time.

use std::sync::OnceLock;

use crate::error::{GeomagError, checked};

/// Degree of the IGRF.
pub(crate) const DEGREE: usize = 13;
/// Epochs of the table, 5 years apart.
pub(crate) const EPOCHS: usize = 12;
/// First epoch of the table, decimal year.
const FIRST_YEAR: f64 = 1975.0;
/// Last epoch of the table, decimal year.
const LAST_YEAR: f64 = 2030.0;
/// Years between epochs.
const EPOCH_STEP_YEARS: f64 = 5.0;
/// IGRF-14: IAGA Division V, doi 10.5281/zenodo.14012302. Columns kind, n, m, then one per epoch.
const TABLE: &str = include_str!("../data/igrf14.csv");

/// Coefficients of one instant, nT, Schmidt semi-normalised, by degree and order.
#[derive(Debug, Clone)]
pub(crate) struct Coefficients {
    pub(crate) g: [[f64; DEGREE + 1]; DEGREE + 1],
    pub(crate) h: [[f64; DEGREE + 1]; DEGREE + 1],
}

impl Coefficients {
    const ZERO: Self = Self { g: [[0.0; DEGREE + 1]; DEGREE + 1], h: [[0.0; DEGREE + 1]; DEGREE + 1] };

    /// Linear in decimal year between the two epochs around it, as the IGRF prescribes.
    pub(crate) fn at(decimal_year: f64) -> Result<Self, GeomagError> {
        let (epoch, share) = position(decimal_year)?;
        let [before, after] = [&table()[epoch], &table()[epoch + 1]];
        let mut now = Self::ZERO;
        for n in 1..=DEGREE {
            for m in 0..=n {
                now.g[n][m] = before.g[n][m] * (1.0 - share) + after.g[n][m] * share;
                now.h[n][m] = before.h[n][m] * (1.0 - share) + after.h[n][m] * share;
            }
        }
        Ok(now)
    }
}

/// Decimal year of an epoch of the table.
pub(crate) fn epoch_year(epoch: usize) -> f64 {
    FIRST_YEAR + EPOCH_STEP_YEARS * epoch as f64
}

/// The epoch before a date that has one after it, too, and the elapsed share of the time between the two.
pub(crate) fn position(decimal_year: f64) -> Result<(usize, f64), GeomagError> {
    checked("decimal year", decimal_year, f64::MIN, f64::MAX)?;
    if !(FIRST_YEAR..=LAST_YEAR).contains(&decimal_year) {
        return Err(GeomagError::OutsideSpan { decimal_year, first_year: FIRST_YEAR, last_year: LAST_YEAR });
    }
    let steps = (decimal_year - FIRST_YEAR) / EPOCH_STEP_YEARS;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "within the span, so 0 to 11")]
    let epoch = (steps as usize).min(EPOCHS - 2);
    Ok((epoch, steps - epoch as f64))
}

fn table() -> &'static [Coefficients] {
    static PARSED: OnceLock<Vec<Coefficients>> = OnceLock::new();
    PARSED.get_or_init(|| {
        let mut epochs = vec![Coefficients::ZERO; EPOCHS];
        for row in TABLE.lines() {
            read_row(row, &mut epochs);
        }
        epochs
    })
}

/// Puts one row into the table; lines that are not rows (comments, heading) have no numbers and are passed over.
fn read_row(row: &str, epochs: &mut [Coefficients]) -> Option<()> {
    let mut cells = row.split(',');
    let kind = cells.next()?;
    let n: usize = cells.next()?.parse().ok()?;
    let m: usize = cells.next()?.parse().ok()?;
    for epoch in epochs {
        let value: f64 = cells.next()?.parse().ok()?;
        let block = if kind == "h" { &mut epoch.h } else { &mut epoch.g };
        *block.get_mut(n)?.get_mut(m)? = value;
    }
    Some(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_of_the_table_is_read() {
        let mut epochs = vec![Coefficients::ZERO; EPOCHS];
        let read = TABLE.lines().filter(|row| read_row(row, &mut epochs).is_some()).count();
        assert_eq!(read, DEGREE * (DEGREE + 2), "degree 13 has 195 coefficients");
    }

    #[test]
    fn the_dipole_of_2025_is_as_published() {
        let now = Coefficients::at(2025.0).unwrap();
        assert!((now.g[1][0] + 29350.0).abs() < 1e-9 && (now.h[1][1] - 4545.5).abs() < 1e-9);
        assert!((Coefficients::at(2030.0).unwrap().g[1][0] + 29287.0).abs() < 1e-9);
    }
}
