use job::SkymapReport;

/// Darkest value told apart: a thousandth of what an eye sees. Logarithm of kR.
const FLOOR_LOG: f64 = -4.0;
/// Rows and columns drawn at most; a finer grid is thinned.
const MOST_ROWS: usize = 46;
const MOST_COLUMNS: usize = 180;

/// Logarithm of the green brightness on a grid that reaches from the horizon to the zenith and around.
pub(super) struct Field {
    /// Degrees, rising, first 0, last 90.
    pub(super) altitudes_deg: Vec<f64>,
    /// Degrees, rising, the first after the last closes the circle.
    pub(super) azimuths_deg: Vec<f64>,
    values: Vec<f64>,
}

impl Field {
    pub(super) fn of(report: &SkymapReport) -> Self {
        let rows = kept_rows(&report.altitudes_deg);
        let columns = every(report.azimuths_deg.len(), MOST_COLUMNS);
        let across = report.azimuths_deg.len();
        let mut field = Self {
            altitudes_deg: Vec::new(),
            azimuths_deg: columns.iter().map(|&j| report.azimuths_deg[j]).collect(),
            values: Vec::new(),
        };
        for i in rows {
            let row: Vec<f64> =
                columns.iter().map(|&j| log_kr(report.green_5577_kr.get(i * across + j).copied())).collect();
            field.push_row(report.altitudes_deg[i], &row);
        }
        field.close_at_zenith();
        field
    }

    /// Adds a row; the first one is carried down to the horizon.
    fn push_row(&mut self, altitude_deg: f64, row: &[f64]) {
        if self.altitudes_deg.is_empty() && altitude_deg > 0.0 {
            self.altitudes_deg.push(0.0);
            self.values.extend_from_slice(row);
        }
        self.altitudes_deg.push(altitude_deg);
        self.values.extend_from_slice(row);
    }

    /// At the zenith all azimuths are one direction and must have one value.
    fn close_at_zenith(&mut self) {
        let across = self.azimuths_deg.len();
        if across == 0 || self.values.len() < across {
            return;
        }
        let top = self.values.len() - across;
        let mean = self.values[top..].iter().sum::<f64>() / across as f64;
        if self.altitudes_deg.last().is_some_and(|last| *last > 89.99) {
            self.values.truncate(top);
            self.altitudes_deg.pop();
        }
        self.altitudes_deg.push(90.0);
        self.values.extend(std::iter::repeat_n(mean, across));
    }

    pub(super) fn rows(&self) -> usize {
        self.altitudes_deg.len()
    }

    pub(super) fn columns(&self) -> usize {
        self.azimuths_deg.len()
    }

    /// Logarithm of kR.
    pub(super) fn at(&self, row: usize, column: usize) -> f64 {
        self.values.get(row * self.columns() + column).copied().unwrap_or(FLOOR_LOG)
    }

    /// The greatest value.
    pub(super) fn highest(&self) -> f64 {
        self.values.iter().copied().fold(FLOOR_LOG, f64::max)
    }
}

/// What cannot be a brightness is dark.
fn log_kr(kr: Option<f64>) -> f64 {
    match kr {
        Some(kr) if kr > 0.0 && kr.is_finite() => kr.log10().max(FLOOR_LOG),
        _ => FLOOR_LOG,
    }
}

/// Rows on or above the horizon, rising, thinned.
fn kept_rows(altitudes_deg: &[f64]) -> Vec<usize> {
    let mut rows: Vec<usize> = Vec::new();
    for (index, altitude) in altitudes_deg.iter().enumerate() {
        let rises = rows.last().is_none_or(|&last| altitudes_deg[last] < *altitude);
        if (0.0..=90.0).contains(altitude) && rises {
            rows.push(index);
        }
    }
    every(rows.len(), MOST_ROWS).into_iter().map(|index| rows[index]).collect()
}

/// Indices of `count` things, thinned evenly to at most `most`; the first is always kept.
fn every(count: usize, most: usize) -> Vec<usize> {
    let stride = count.div_ceil(most).max(1);
    (0..count).step_by(stride).collect()
}
