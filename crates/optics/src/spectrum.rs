//! Tables at 5 nm steps from 380 to 780 nm and their interpolation.

/// First wavelength of the tables, nm.
pub(crate) const FIRST_NM: f64 = 380.0;
/// Last wavelength of the tables, nm.
pub(crate) const LAST_NM: f64 = 780.0;
/// Step of the tables, nm.
pub(crate) const STEP_NM: f64 = 5.0;
/// Rows of the tables.
pub(crate) const ROWS: usize = 81;
/// Rows with the two extrapolated ones at each end that Sprague's formula needs.
const PADDED: usize = ROWS + 4;

/// One column of a table, ready to be read at any wavelength.
#[derive(Debug, Clone)]
pub(crate) struct Curve {
    padded: [f64; PADDED],
}

/// Extrapolation two steps before the first value from the first six, in units of 1/209 (CIE 167:2005, table V).
const TWO_BEFORE: [f64; 6] = [884.0, -1960.0, 3033.0, -2648.0, 1080.0, -180.0];
/// Extrapolation one step before the first value.
const ONE_BEFORE: [f64; 6] = [508.0, -540.0, 488.0, -367.0, 144.0, -24.0];
const EXTRAPOLATION_DIVISOR: f64 = 209.0;

impl Curve {
    fn new(values: &[f64; ROWS]) -> Self {
        let head: [f64; 6] = std::array::from_fn(|i| values[i]);
        let tail: [f64; 6] = std::array::from_fn(|i| values[ROWS - 1 - i]);
        let mut padded = [0.0; PADDED];
        padded[0] = weighted(&TWO_BEFORE, &head);
        padded[1] = weighted(&ONE_BEFORE, &head);
        padded[2..PADDED - 2].copy_from_slice(values);
        padded[PADDED - 2] = weighted(&ONE_BEFORE, &tail);
        padded[PADDED - 1] = weighted(&TWO_BEFORE, &tail);
        Self { padded }
    }

    /// Value at a wavelength by Sprague's fifth-degree interpolation (CIE 167:2005); 0 outside the table, never negative.
    pub(crate) fn at(&self, wavelength_nm: f64) -> f64 {
        if !(FIRST_NM..=LAST_NM).contains(&wavelength_nm) {
            return 0.0;
        }
        let steps = (wavelength_nm - FIRST_NM) / STEP_NM;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0..=80 by the check above")]
        let row = (steps as usize).min(ROWS - 2);
        sprague(&self.padded[row..row + 6], steps - row as f64).max(0.0)
    }

    /// The curve divided by its highest point between or on the rows.
    pub(crate) fn scaled_to_peak(&self) -> Self {
        /// Samples per row in search of the peak: 0.1 nm, which misses a peak 100 nm wide by parts in a million.
        const SAMPLES: usize = 50;
        let step_nm = STEP_NM / SAMPLES as f64;
        let highest = (0..=(ROWS - 1) * SAMPLES).map(|i| self.at(FIRST_NM + step_nm * i as f64)).fold(0.0, f64::max);
        if highest > 0.0 { Self { padded: self.padded.map(|value| value / highest) } } else { self.clone() }
    }

    /// Integral over wavelength, nm times the unit of the curve.
    pub(crate) fn integral_nm(&self) -> f64 {
        let values = &self.padded[2..PADDED - 2];
        let ends = 0.5 * (values[0] + values[ROWS - 1]);
        (values.iter().sum::<f64>() - ends) * STEP_NM
    }
}

fn weighted(weights: &[f64; 6], values: &[f64; 6]) -> f64 {
    weights.iter().zip(values).map(|(w, v)| w * v).sum::<f64>() / EXTRAPOLATION_DIVISOR
}

/// Sprague's polynomial between the third and fourth of six even steps, `x` in 0..=1.
fn sprague(r: &[f64], x: f64) -> f64 {
    let &[r0, r1, r2, r3, r4, r5] = r else { return 0.0 };
    let a1 = 2.0 * r0 - 16.0 * r1 + 16.0 * r3 - 2.0 * r4;
    let a2 = -r0 + 16.0 * r1 - 30.0 * r2 + 16.0 * r3 - r4;
    let a3 = -9.0 * r0 + 39.0 * r1 - 70.0 * r2 + 66.0 * r3 - 33.0 * r4 + 7.0 * r5;
    let a4 = 13.0 * r0 - 64.0 * r1 + 126.0 * r2 - 124.0 * r3 + 61.0 * r4 - 12.0 * r5;
    let a5 = -5.0 * r0 + 25.0 * r1 - 50.0 * r2 + 50.0 * r3 - 25.0 * r4 + 5.0 * r5;
    r2 + x * (a1 + x * (a2 + x * (a3 + x * (a4 + x * a5)))) / 24.0
}

/// Reads a table of `COLUMNS` columns after the wavelength. Lines that are not numbers (header) are passed over.
pub(crate) fn read_table<const COLUMNS: usize>(text: &str) -> [Curve; COLUMNS] {
    let mut columns = [[0.0; ROWS]; COLUMNS];
    let rows = text.lines().filter_map(numbers::<COLUMNS>);
    for (row, values) in rows.take(ROWS).enumerate() {
        for (column, value) in columns.iter_mut().zip(values) {
            column[row] = value;
        }
    }
    columns.each_ref().map(Curve::new)
}

fn numbers<const COLUMNS: usize>(line: &str) -> Option<[f64; COLUMNS]> {
    let mut fields = line.split(',');
    fields.next()?.trim().parse::<f64>().ok()?;
    let mut values = [0.0; COLUMNS];
    for value in &mut values {
        *value = fields.next()?.trim().parse().ok()?;
    }
    Some(values)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of sums of terms up to 130 times the values.
    const ROUNDING: f64 = 1e-9;

    fn worst(f: impl Fn(f64) -> f64, wavelengths_nm: &[f64]) -> f64 {
        let values: [f64; ROWS] = std::array::from_fn(|i| f(FIRST_NM + STEP_NM * i as f64));
        let curve = Curve::new(&values);
        wavelengths_nm.iter().map(|&nm| (curve.at(nm) - f(nm)).abs()).fold(0.0, f64::max)
    }

    #[test]
    fn a_cubic_is_reproduced_inside_and_a_straight_line_to_the_ends() {
        assert!(worst(|nm| ((nm - 500.0) / 100.0).powi(3) + 30.0, &[390.0, 391.3, 512.7, 557.7, 769.9]) < ROUNDING);
        assert!(worst(|nm| 0.01 * nm, &[380.0, 381.3, 384.9, 512.7, 776.1, 779.9, 780.0]) < ROUNDING);
    }

    #[test]
    fn outside_the_table_there_is_nothing() {
        let curve = Curve::new(&[1.0; ROWS]);
        for nm in [379.9, 780.1, f64::NAN, f64::INFINITY] {
            assert!(curve.at(nm).abs() < f64::EPSILON);
        }
        assert!((curve.integral_nm() - 400.0).abs() < ROUNDING);
    }
}
