//! The shift at which two rows are most alike.

/// Least share of a row that must overlap.
const LEAST_OVERLAP: f64 = 0.5;
/// Fewest bins that must overlap.
const LEAST_BINS: usize = 8;

/// Sums of the correlations of very many pairs of rows, by shift.
#[derive(Debug, Clone)]
pub(super) struct Ensemble {
    low: i32,
    sums: Vec<f64>,
    counts: Vec<u32>,
}

/// A maximum of an ensemble.
#[derive(Debug, Clone, Copy)]
pub(super) struct Maximum {
    /// Shift, bins, between whole ones by a parabola.
    pub(super) shift: f64,
    /// Mean correlation there.
    pub(super) correlation: f64,
}

impl Ensemble {
    /// For shifts from one to another, bins, both included.
    pub(super) fn new([low, high]: [i32; 2]) -> Self {
        let count = high.saturating_sub(low).unsigned_abs() as usize + 1;
        Self { low, sums: vec![0.0; count], counts: vec![0; count] }
    }

    /// Adds the pair of an earlier and a later row.
    pub(super) fn add(&mut self, earlier: &[f64], later: &[f64]) {
        for (shift, (sum, count)) in (self.low..).zip(self.sums.iter_mut().zip(&mut self.counts)) {
            let [forward, backward] = [shift.max(0), (-shift).max(0)].map(|bins| bins.unsigned_abs() as usize);
            let (a, b) = (earlier.get(backward..).unwrap_or_default(), later.get(forward..).unwrap_or_default());
            if let Some(correlation) = correlation(a, b, earlier.len()) {
                *sum += correlation;
                *count += 1;
            }
        }
    }

    /// The shift of the highest mean correlation; none where it lies at either end, or nothing could be compared.
    pub(super) fn maximum(&self) -> Option<Maximum> {
        let means: Vec<f64> = self
            .sums
            .iter()
            .zip(&self.counts)
            .map(|(sum, count)| if *count > 0 { sum / f64::from(*count) } else { f64::NEG_INFINITY })
            .collect();
        let (index, _) = means.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1))?;
        let [before, at, after] = [means.get(index.checked_sub(1)?)?, &means[index], means.get(index + 1)?];
        if !(before.is_finite() && at.is_finite() && after.is_finite()) {
            return None;
        }
        let bend = before - 2.0 * at + after;
        let beside = if bend < 0.0 { (0.5 * (before - after) / bend).clamp(-0.5, 0.5) } else { 0.0 };
        Some(Maximum { shift: index as f64 + f64::from(self.low) + beside, correlation: *at })
    }
}

/// Pearson's correlation over the bins that both have; none where too few do, or one does not vary.
fn correlation(a: &[f64], b: &[f64], whole: usize) -> Option<f64> {
    let pairs = a.iter().zip(b).filter(|(a, b)| a.is_finite() && b.is_finite());
    let [mut n, mut sa, mut sb, mut saa, mut sbb, mut sab] = [0.0; 6];
    for (a, b) in pairs {
        n += 1.0;
        sa += a;
        sb += b;
        saa += a * a;
        sbb += b * b;
        sab += a * b;
    }
    if n < (whole as f64 * LEAST_OVERLAP).max(LEAST_BINS as f64) {
        return None;
    }
    let [va, vb] = [saa - sa * sa / n, sbb - sb * sb / n];
    let product = va * vb;
    (va > saa * 1e-12 && vb > sbb * 1e-12 && product > 0.0).then(|| (sab - sa * sb / n) / product.sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_moved_row_is_found_between_bins() {
        let row = |at: f64| -> Vec<f64> { (0..60).map(|i| (-((f64::from(i) - at) / 5.0).powi(2)).exp()).collect() };
        let mut ensemble = Ensemble::new([-10, 10]);
        ensemble.add(&row(25.0), &row(28.3));
        let found = ensemble.maximum().unwrap();
        assert!((found.shift - 3.3).abs() < 0.05 && found.correlation > 0.99, "{found:?}");
    }
}
