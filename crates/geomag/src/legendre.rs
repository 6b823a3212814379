//! Spherical harmonics of low degree at a geodetic place, for expansions of coordinates.

use crate::vector::unit_to;

/// Highest degree.
pub(crate) const DEGREE: usize = 6;
/// Pairs of degree and order.
pub(crate) const PAIRS: usize = (DEGREE + 1) * (DEGREE + 2) / 2;

/// Place of a degree and order in a list of pairs.
pub(crate) const fn pair(n: usize, m: usize) -> usize {
    n * (n + 1) / 2 + m
}

/// Schmidt semi-normalised harmonics at one place.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Harmonics {
    /// P cos(m longitude) and P sin(m longitude), by [`pair`].
    pub(crate) values: [[f64; 2]; PAIRS],
    /// Unit vector to the place.
    pub(crate) direction: [f64; 3],
}

impl Harmonics {
    /// Harmonics of the angles of latitude and longitude, degrees.
    pub(crate) fn at(latitude_deg: f64, longitude_deg: f64) -> Self {
        let direction = unit_to(latitude_deg, longitude_deg);
        let [x, y, z] = direction;
        let mut values = [[0.0; 2]; PAIRS];
        values[0] = [1.0, 0.0];
        for m in 0..=DEGREE {
            if m > 0 {
                let [c, s] = values[pair(m - 1, m - 1)];
                let factor = if m == 1 { 1.0 } else { ((2 * m - 1) as f64 / (2 * m) as f64).sqrt() };
                values[pair(m, m)] = [factor * (x * c - y * s), factor * (x * s + y * c)];
            }
            for n in m + 1..=DEGREE {
                let norm = ((n * n - m * m) as f64).sqrt();
                let second = (((n - 1) * (n - 1) - m * m) as f64).sqrt() / norm;
                let first = (2 * n - 1) as f64 * z / norm;
                let before = values[pair(n - 1, m)];
                let before_that = if n > m + 1 { values[pair(n - 2, m)] } else { [0.0; 2] };
                values[pair(n, m)] = std::array::from_fn(|i| first * before[i] - second * before_that[i]);
            }
        }
        Self { values, direction }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn harmonics_of_one_degree_add_up_to_one() {
        // Addition theorem of Schmidt functions; rounding of some thirty products.
        let harmonics = Harmonics::at(37.0, -122.0);
        for n in 0..=DEGREE {
            let sum: f64 = (0..=n).map(|m| harmonics.values[pair(n, m)]).map(|[c, s]| c * c + s * s).sum();
            assert!((sum - 1.0).abs() < 1e-12, "degree {n}: {sum}");
        }
    }
}
