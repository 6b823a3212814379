//! The gradient of a spherical harmonic series in Cartesian coordinates.
//!
//! Solid harmonics by Cunningham's recursion (Celestial Mechanics 2, 207, 1970; as set out in Montenbruck & Gill,
//! *Satellite Orbits*, section 3.2.4) have no singularity at the poles and need no trigonometric function. The gradient of
//! degree n is a linear combination of solid harmonics of degree n + 1, so its weights are folded into one table per model.

use crate::coefficients::{Coefficients, DEGREE};
use crate::constants::IGRF_RADIUS_KM;
use crate::vector::{Ecef, dot};

/// Degree of the harmonics that carry the gradient.
const TOP: usize = DEGREE + 1;
/// Pairs of harmonics with order 0..=TOP and degree order..=TOP.
const TERMS: usize = (TOP + 1) * (TOP + 2) / 2;
/// Contribution left out, as a share of the dipole field there, when the degree is cut with height.
///
/// 2e-6 bends a line by 0.0001 degrees if it lasted over the whole line; it falls with a power of the radius instead.
const CUT_SHARE: f64 = 2e-6;

/// One harmonic: how to get it from the two below, and its weight in the three field components.
#[derive(Debug, Clone, Copy, Default)]
struct Term {
    below: f64,
    second_below: f64,
    /// For x, y, z: weight of the cosine and of the sine harmonic, side by side so that both go through one instruction.
    weights: [[f64; 2]; 3],
}

/// The field of one instant, ready for evaluation anywhere outside the core.
#[derive(Debug, Clone)]
pub(crate) struct Harmonics {
    terms: Box<[Term; TERMS]>,
    /// `cut_radius_sq[n]`: square of the radius (in reference radii) beyond which degrees above n do not matter.
    cut_radius_sq: [f64; DEGREE + 1],
}

impl Harmonics {
    pub(crate) fn new(coefficients: &Coefficients) -> Self {
        let mut terms = Box::new([Term::default(); TERMS]);
        set_recursion(&mut terms);
        for n in 1..=DEGREE {
            for m in 0..=n {
                let norm = schmidt_norm(n, m);
                add_gradient(&mut terms, n, m, norm * coefficients.g[n][m], norm * coefficients.h[n][m]);
            }
        }
        Self { terms, cut_radius_sq: cut_radii_sq(coefficients) }
    }

    /// Field vector in nT, Earth-fixed axes, all degrees.
    pub(crate) fn field_nt(&self, ecef_km: Ecef) -> Ecef {
        self.sum(ecef_km, DEGREE)
    }

    /// The same with the degrees that do not matter at this radius left out ([`CUT_SHARE`]).
    pub(crate) fn field_for_tracing_nt(&self, ecef_km: Ecef) -> Ecef {
        let radius_sq = dot(ecef_km, ecef_km) / (IGRF_RADIUS_KM * IGRF_RADIUS_KM);
        let mut degree = DEGREE;
        while degree > 1 && radius_sq > self.cut_radius_sq[degree - 1] {
            degree -= 1;
        }
        self.sum(ecef_km, degree)
    }

    fn sum(&self, ecef_km: Ecef, degree: usize) -> Ecef {
        let inverse_sq = IGRF_RADIUS_KM / dot(ecef_km, ecef_km);
        let [x, y, z] = ecef_km.map(|component| component * inverse_sq);
        let radius_sq = IGRF_RADIUS_KM * inverse_sq;
        let mut sector = [radius_sq.sqrt(), 0.0];
        let mut sums = [[0.0; 2]; 3];
        for m in 0..=degree + 1 {
            let row = row_start(m);
            let (mut now, mut before) = (sector, [0.0; 2]);
            for (i, term) in self.terms[row..=row + degree + 1 - m].iter().enumerate() {
                if i > 0 {
                    let (up, back) = (term.below * z, term.second_below * radius_sq);
                    (now, before) = ([up * now[0] - back * before[0], up * now[1] - back * before[1]], now);
                }
                for (sum, weight) in sums.iter_mut().zip(&term.weights) {
                    sum[0] += weight[0] * now[0];
                    sum[1] += weight[1] * now[1];
                }
            }
            let odd = (2 * m + 1) as f64;
            sector = [odd * (x * sector[0] - y * sector[1]), odd * (x * sector[1] + y * sector[0])];
        }
        sums.map(|[cos, sin]| cos + sin)
    }
}

/// Index of the harmonic with degree and order both `m`.
const fn row_start(m: usize) -> usize {
    m * (TOP + 1) - m * m.saturating_sub(1) / 2
}

fn term(terms: &mut [Term; TERMS], n: usize, m: usize) -> &mut Term {
    &mut terms[row_start(m) + n - m]
}

fn set_recursion(terms: &mut [Term; TERMS]) {
    for m in 0..TOP {
        for n in m + 1..=TOP {
            let step = (n - m) as f64;
            let entry = term(terms, n, m);
            entry.below = (2 * n - 1) as f64 / step;
            entry.second_below = (n + m - 1) as f64 / step;
        }
    }
}

/// From Schmidt semi-normalised to plain associated Legendre functions (without the Condon-Shortley sign).
fn schmidt_norm(n: usize, m: usize) -> f64 {
    if m == 0 {
        return 1.0;
    }
    let falling: f64 = (n - m + 1..=n + m).map(|k| k as f64).product();
    (2.0 / falling).sqrt()
}

/// Adds minus the gradient of `c V(n,m) + s W(n,m)` (Montenbruck & Gill, eq. 3.33, sign turned as B = -grad V).
fn add_gradient(terms: &mut [Term; TERMS], n: usize, m: usize, c: f64, s: f64) {
    let share = if m == 0 { 1.0 } else { 0.5 };
    let above = term(terms, n + 1, m + 1);
    above.weights[0][0] += share * c;
    above.weights[0][1] += share * s;
    above.weights[1][1] += share * c;
    above.weights[1][0] -= share * s;
    let same = term(terms, n + 1, m);
    same.weights[2][0] += (n - m + 1) as f64 * c;
    same.weights[2][1] += (n - m + 1) as f64 * s;
    if m > 0 {
        let share = 0.5 * ((n - m + 2) * (n - m + 1)) as f64;
        let below = term(terms, n + 1, m - 1);
        below.weights[0][0] -= share * c;
        below.weights[0][1] -= share * s;
        below.weights[1][1] += share * c;
        below.weights[1][0] -= share * s;
    }
}

/// For each degree, the radius beyond which all higher degrees together stay below [`CUT_SHARE`] of the dipole.
///
/// On the unit sphere a Schmidt series of degree n is at most s = sqrt(sum g^2 + h^2) (addition theorem) and its gradient
/// at most (2n + 1) s; so the degree's field is at most (2n + 1) s / r^(n + 2), and the dipole's at least `b0` / r^3. Each
/// degree is given an equal part of the share, so the sum is bounded.
fn cut_radii_sq(coefficients: &Coefficients) -> [f64; DEGREE + 1] {
    let strength = |n: usize| {
        let sum: f64 = (0..=n).map(|m| coefficients.g[n][m].powi(2) + coefficients.h[n][m].powi(2)).sum();
        (2 * n + 1) as f64 * sum.sqrt()
    };
    let dipole = strength(1) / 3.0;
    let mut cuts = [f64::INFINITY; DEGREE + 1];
    let mut furthest = 1.0_f64;
    for n in (1..DEGREE).rev() {
        // Degree n + 1, divided by the dipole, falls with the n-th power of the radius.
        let alone = (strength(n + 1) / dipole * DEGREE as f64 / CUT_SHARE).powf(1.0 / n as f64);
        furthest = furthest.max(alone);
        cuts[n] = furthest * furthest;
    }
    cuts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vector::{minus, norm, scaled, unit_to};

    #[test]
    fn leaving_degrees_out_with_height_stays_within_its_bound() {
        let harmonics = Harmonics::new(&Coefficients::at(2025.0).unwrap());
        let mut worst = 0.0_f64;
        for step in 0..400 {
            let k = f64::from(step);
            let radius_km = IGRF_RADIUS_KM * 1.02_f64.powf(k);
            let point = scaled(unit_to((k * 37.0) % 180.0 - 90.0, k * 83.0), radius_km);
            let whole = harmonics.field_nt(point);
            worst = worst.max(norm(minus(whole, harmonics.field_for_tracing_nt(point))) / norm(whole));
        }
        assert!(worst > 0.0, "nothing was left out");
        assert!(worst < CUT_SHARE, "{worst}");
    }

    #[test]
    fn the_poles_are_ordinary_points() {
        let harmonics = Harmonics::new(&Coefficients::at(2025.0).unwrap());
        let at = harmonics.field_nt([0.0, 0.0, 6400.0]);
        let beside = harmonics.field_nt([1e-6, 1e-6, 6400.0]);
        assert!(norm(minus(at, beside)) < 1e-3, "{at:?} {beside:?}");
    }
}
