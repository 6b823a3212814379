//! Evenly spaced spectral tables, compiled into the crate, and smooth values between their rows.

/// Points of the interpolating polynomial: quintic, as the standard for colour tables (Sprague) is.
const POINTS: usize = 6;

/// A table of `N` curves over evenly spaced wavelengths.
pub(crate) struct Spectral<const N: usize> {
    first_nm: f64,
    step_nm: f64,
    rows: Vec<[f64; N]>,
}

impl<const N: usize> Spectral<N> {
    /// Reads a comma-separated table: `#` comments, one header line, wavelength first. A cell that is no number becomes NaN,
    /// which the tests of each owner refuse.
    pub(crate) fn parse(text: &'static str) -> Self {
        let lines = text.lines().filter(|line| !line.starts_with('#') && !line.trim().is_empty()).skip(1);
        let rows: Vec<(f64, [f64; N])> = lines
            .map(|line| {
                let mut cells = line.split(',').map(|cell| cell.trim().parse().unwrap_or(f64::NAN));
                (cells.next().unwrap_or(f64::NAN), std::array::from_fn(|_| cells.next().unwrap_or(f64::NAN)))
            })
            .collect();
        let first_nm = rows.first().map_or(0.0, |row| row.0);
        let step_nm = rows.get(1).map_or(1.0, |row| row.0 - first_nm);
        Self { first_nm, step_nm, rows: rows.into_iter().map(|row| row.1).collect() }
    }

    /// Values at a wavelength; zero outside the table.
    pub(crate) fn at(&self, wavelength_nm: f64) -> [f64; N] {
        let position = (wavelength_nm - self.first_nm) / self.step_nm;
        let last = self.rows.len().saturating_sub(1);
        if !(position >= 0.0 && position <= last as f64) || last + 1 < POINTS {
            return [0.0; N];
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked to be within the table")]
        let start = (position as usize).saturating_sub(POINTS / 2 - 1).min(last + 1 - POINTS);
        let weights = lagrange(position - start as f64);
        let mut values = [0.0; N];
        for (row, weight) in self.rows[start..start + POINTS].iter().zip(weights) {
            for (value, cell) in values.iter_mut().zip(row) {
                *value += weight * cell;
            }
        }
        // a polynomial through a steep flank may dip below nothing
        values.map(|value| value.max(0.0))
    }

    /// Wavelengths and rows.
    pub(crate) fn rows(&self) -> impl Iterator<Item = (f64, &[f64; N])> {
        self.rows.iter().enumerate().map(|(index, row)| (self.first_nm + self.step_nm * index as f64, row))
    }

    /// Spacing, nm.
    pub(crate) fn step_nm(&self) -> f64 {
        self.step_nm
    }
}

/// Lagrange weights of nodes 0..6 at `t`.
fn lagrange(t: f64) -> [f64; POINTS] {
    std::array::from_fn(|node| {
        (0..POINTS)
            .filter(|&other| other != node)
            .map(|other| (t - other as f64) / (node as f64 - other as f64))
            .product()
    })
}
