//! Weighted least squares with what is known beforehand, clipping stars that do not fit.

use crate::least_squares::{dot, solve};

/// Numbers of the fit: zero point (negative), slope, colour, extinction, and two of the lens's falloff.
pub(crate) const TERMS: usize = 6;
/// Their places.
pub(crate) const ZERO: usize = 0;
pub(crate) const SLOPE: usize = 1;
pub(crate) const COLOUR: usize = 2;
pub(crate) const AIR: usize = 3;
pub(crate) const FALLOFF: [usize; 2] = [4, 5];

/// One star: what multiplies the numbers, its instrumental magnitude and the error of that.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Row {
    pub(crate) terms: [f64; TERMS],
    pub(crate) mag: f64,
    pub(crate) sigma_mag: f64,
}

/// What is known before the stars are asked: values with deviations.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Prior {
    pub(crate) values: [f64; TERMS],
    pub(crate) sigmas: [f64; TERMS],
}

/// What the stars and the prior say together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Solved {
    pub(crate) values: [f64; TERMS],
    pub(crate) covariance: [[f64; TERMS]; TERMS],
    /// Scatter of one star about the fit beyond its own noise, magnitudes.
    pub(crate) scatter_mag: f64,
    pub(crate) stars: usize,
}

impl Solved {
    pub(crate) fn sigma(&self, term: usize) -> f64 {
        self.covariance[term][term].max(0.0).sqrt()
    }

    /// Deviation of a sum of the numbers with these weights.
    pub(crate) fn sigma_along(&self, weights: &[f64; TERMS]) -> f64 {
        let carried = self.covariance.map(|row| dot(&row, weights));
        dot(&carried, weights).max(0.0).sqrt()
    }
}

/// Rounds of weighting and clipping: at rest well before.
const ROUNDS: usize = 16;
/// Rounds in which bad stars are only given little weight, before any is left out.
const SOFT_ROUNDS: usize = 6;
/// Deviations from which a star is left out: one in 2 000 good ones.
const CLIP_SIGMA: f64 = 3.5;
/// Distance at which a weight is halved (Cauchy; common practice, no source).
const HALF_WEIGHT_SIGMA: f64 = 2.385;
/// Standard deviation over the median absolute value of a Gaussian.
const SIGMA_PER_MEDIAN: f64 = 1.482_602_2;
/// Least scatter of a star, magnitudes: pixels that are not alike, and the catalogue's V (derived from Hp) to 0.02.
const LEAST_SCATTER_MAG: f64 = 0.03;

/// Fits; `None` when the rows do not settle it.
pub(crate) fn fit(rows: &[Row], prior: &Prior) -> Option<Solved> {
    let mut starts: Vec<f64> = rows.iter().map(|row| row.mag - dot(&row.terms, &prior.values)).collect();
    let offset = median(&mut starts)?;
    let mut values = prior.values;
    values[ZERO] += offset;
    let mut solved = None;
    let mut scatter = rough_scatter(rows, &values)?;
    for round in 0..ROUNDS {
        let weight = |row: &Row| {
            let sigma = row.sigma_mag.hypot(scatter);
            let off = ((row.mag - dot(&row.terms, &values)) / sigma).abs();
            let soft = if round < SOFT_ROUNDS {
                (1.0 + (off / HALF_WEIGHT_SIGMA).powi(2)).recip()
            } else {
                f64::from(u8::from(off < CLIP_SIGMA))
            };
            soft / (sigma * sigma)
        };
        let weights: Vec<f64> = rows.iter().map(weight).collect();
        let (found, covariance) = weighted(rows, &weights, prior)?;
        let stars = weights.iter().filter(|weight| **weight > 0.0).count();
        values = found;
        scatter = excess_scatter(rows, &weights, &values)?;
        solved = Some(Solved { values, covariance, scatter_mag: scatter, stars });
    }
    solved
}

fn weighted(rows: &[Row], weights: &[f64], prior: &Prior) -> Option<([f64; TERMS], [[f64; TERMS]; TERMS])> {
    let mut normal = [[0.0; TERMS]; TERMS];
    let mut right = [0.0; TERMS];
    for i in 0..TERMS {
        let weight = prior.sigmas[i].powi(-2);
        normal[i][i] += weight;
        right[i] += weight * prior.values[i];
    }
    for (row, weight) in rows.iter().zip(weights) {
        for i in 0..TERMS {
            right[i] += weight * row.terms[i] * row.mag;
            for (entry, other) in normal[i].iter_mut().zip(row.terms) {
                *entry += weight * row.terms[i] * other;
            }
        }
    }
    let values = solve(normal, right)?;
    let mut covariance = [[0.0; TERMS]; TERMS];
    for (i, row) in covariance.iter_mut().enumerate() {
        let mut unit = [0.0; TERMS];
        unit[i] = 1.0;
        *row = solve(normal, unit)?;
    }
    Some((values, covariance))
}

fn rough_scatter(rows: &[Row], values: &[f64; TERMS]) -> Option<f64> {
    let mut sizes: Vec<f64> = rows.iter().map(|row| (row.mag - dot(&row.terms, values)).abs()).collect();
    Some((SIGMA_PER_MEDIAN * median(&mut sizes)?).max(LEAST_SCATTER_MAG))
}

/// Scatter of the stars in use beyond their own noise.
fn excess_scatter(rows: &[Row], weights: &[f64], values: &[f64; TERMS]) -> Option<f64> {
    let used = || rows.iter().zip(weights).filter(|(_, weight)| **weight > 0.0).map(|(row, _)| row);
    let mut sizes: Vec<f64> = used().map(|row| (row.mag - dot(&row.terms, values)).abs()).collect();
    let mut noises: Vec<f64> = used().map(|row| row.sigma_mag).collect();
    let freedom = sizes.len() as f64 / (sizes.len() as f64 - 3.0).max(1.0);
    let all = SIGMA_PER_MEDIAN * median(&mut sizes)? * freedom.sqrt();
    let noise = median(&mut noises)?;
    Some((all * all - noise * noise).max(0.0).sqrt().max(LEAST_SCATTER_MAG))
}

/// Middle value; reorders. `None` of nothing.
pub(crate) fn median(values: &mut [f64]) -> Option<f64> {
    let middle = values.len() / 2;
    (!values.is_empty()).then(|| *values.select_nth_unstable_by(middle, f64::total_cmp).1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn prior() -> Prior {
        let mut prior = Prior { values: [0.0, 1.0, 0.0, 0.25, 0.6, 0.3], sigmas: [0.002; TERMS] };
        (prior.sigmas[ZERO], prior.sigmas[COLOUR], prior.sigmas[AIR]) = (1e3, 0.15, 0.1);
        prior
    }

    /// Stars of V 2 to 6 through a camera of zero point 7 and colour term 0.2, with a ripple for noise.
    fn rows(airmass: impl Fn(usize) -> f64) -> Vec<Row> {
        let truth = [-7.0, 1.0, 0.2, 0.33, 0.6, 0.3];
        (0..60)
            .map(|i| {
                let terms = [1.0, (i % 9) as f64 * 0.5 - 2.0, (i % 7) as f64 * 0.2, airmass(i), 0.1, 0.01];
                let ripple = 0.04 * ((i * 37 % 11) as f64 - 5.0) / 5.0;
                Row { terms, mag: dot(&terms, &truth) + ripple, sigma_mag: 0.02 }
            })
            .collect()
    }

    #[test]
    fn what_the_stars_tell_is_found_and_the_rest_is_assumed() {
        let found = fit(&rows(|i| 1.0 + (i % 13) as f64 * 0.3), &prior()).unwrap();
        assert!((found.values[AIR] - 0.33).abs() < 3.0 * found.sigma(AIR) && found.sigma(AIR) < 0.01, "{found:?}");
        assert!((found.values[COLOUR] - 0.2).abs() < 3.0 * found.sigma(COLOUR));
        // all stars through the same air: their zero point holds the air, and the error says so
        let found = fit(&rows(|_| 1.5), &prior()).unwrap();
        assert!((found.values[AIR] - 0.25).abs() < 0.01 && found.sigma(AIR) > 0.09, "{found:?}");
        assert!(found.sigma(ZERO) > 0.1);
        // a star through that air is known all the same
        assert!(found.sigma_along(&[1.0, 0.0, 0.6, 1.5, 0.1, 0.01]) < 0.02);
    }

    #[test]
    fn stars_behind_a_tree_are_left_out() {
        let mut all = rows(|i| 1.0 + (i % 13) as f64 * 0.3);
        for row in all.iter_mut().step_by(4) {
            row.mag += 1.5;
        }
        let found = fit(&all, &prior()).unwrap();
        assert_eq!(found.stars, 45);
        assert!((found.values[ZERO] + 7.0).abs() < 0.03, "{found:?}");
    }
}
