//! The Earth's main field: IGRF-14.

use std::sync::OnceLock;

use jiff::Timestamp;

use crate::GeomagError;
use crate::ellipsoid::{ecef_km, local_axes};

/// Highest degree of the model.
pub(crate) const DEGREE: usize = 13;
/// Reference radius of the coefficients, km.
pub(crate) const REFERENCE_RADIUS_KM: f64 = 6371.2;
/// Coefficients of degrees 1 to 13, order 0 to degree; index `n (n + 1) / 2 + m`.
const TERMS: usize = (DEGREE + 1) * (DEGREE + 2) / 2;
/// First epoch of the table.
const FIRST_YEAR: f64 = 1975.0;
/// Years between epochs.
const EPOCH_YEARS: f64 = 5.0;
/// Epochs in the table; the last is the prediction for 2030.
const EPOCHS: usize = 12;
/// Part of the dipole field below which a degree is left out far from the Earth.
///
/// A hundred-thousandth of a radian over a line of 100 000 km moves it by 1 km, 0.0002 degrees seen from its foot.
const NEGLIGIBLE: f64 = 1e-6;

/// The main field at one instant.
///
/// Spherical harmonics to degree 13, linear in time between epochs of five years. No field of the magnetosphere or of the crust is in it:
/// during a storm the real field differs by hundreds of nanotesla, less than a degree of direction.
///
/// # Source
///
/// IGRF-14, IAGA Division V, doi 10.5281/zenodo.14012302; form of the model: Alken et al., Earth Planets Space 73, 49 (2021).
///
/// ```
/// use geomag::FieldModel;
///
/// let field = FieldModel::at_decimal_year(2025.0)?.field(69.65, 18.96, 0.0);
/// assert!((field.north_nt - 10615.4).abs() < 1.0);
/// assert!((field.inclination_deg() - 78.416).abs() < 0.002);
/// # Ok::<(), geomag::GeomagError>(())
/// ```
#[derive(Debug, Clone)]
pub struct FieldModel {
    decimal_year: f64,
    /// g and h of each term, nT.
    coefficients: [(f64, f64); TERMS],
    /// Distance (in reference radii) beyond which a degree no longer counts.
    reach: [f64; DEGREE + 1],
}

/// The field at a point, nT, in the geodetic frame of that point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FieldVector {
    /// Northward.
    pub north_nt: f64,
    /// Eastward.
    pub east_nt: f64,
    /// Downward.
    pub down_nt: f64,
}

impl FieldVector {
    /// Horizontal strength, nT.
    pub fn horizontal_nt(&self) -> f64 {
        self.north_nt.hypot(self.east_nt)
    }

    /// Total strength, nT.
    pub fn total_nt(&self) -> f64 {
        self.horizontal_nt().hypot(self.down_nt)
    }

    /// Angle from true north to the horizontal field, east positive, degrees.
    pub fn declination_deg(&self) -> f64 {
        self.east_nt.atan2(self.north_nt).to_degrees()
    }

    /// Angle of the field below the horizontal, down positive, degrees.
    pub fn inclination_deg(&self) -> f64 {
        self.down_nt.atan2(self.horizontal_nt()).to_degrees()
    }
}

/// Decimal year of an instant: the year and the elapsed share of it.
pub fn decimal_year(at: Timestamp) -> f64 {
    let utc = at.to_zoned_datetime(jiff::tz::TimeZone::UTC);
    let seconds = f64::from(utc.hour()) * 3600.0 + f64::from(utc.minute()) * 60.0 + f64::from(utc.second());
    let day = f64::from(utc.day_of_year()) - 1.0 + seconds / 86_400.0;
    f64::from(utc.year()) + day / f64::from(utc.days_in_year())
}

impl FieldModel {
    /// The field at an instant.
    ///
    /// # Errors
    ///
    /// [`GeomagError::OutsideSpan`] before 1975 or after 2030.
    pub fn at(at: Timestamp) -> Result<Self, GeomagError> {
        Self::at_decimal_year(decimal_year(at))
    }

    /// The field at a decimal year.
    ///
    /// # Errors
    ///
    /// As [`FieldModel::at`].
    pub fn at_decimal_year(year: f64) -> Result<Self, GeomagError> {
        let last_year = FIRST_YEAR + EPOCH_YEARS * (EPOCHS - 1) as f64;
        if !(FIRST_YEAR..=last_year).contains(&year) {
            return Err(GeomagError::OutsideSpan { year, first_year: FIRST_YEAR, last_year });
        }
        let position = (year - FIRST_YEAR) / EPOCH_YEARS;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked to be within the table")]
        let epoch = (position as usize).min(EPOCHS - 2);
        let share = position - epoch as f64;
        let mut coefficients = [(0.0, 0.0); TERMS];
        for (term, (g, h)) in coefficients.iter_mut().zip(table()) {
            let mix = |column: &[f64; EPOCHS]| column[epoch] * (1.0 - share) + column[epoch + 1] * share;
            *term = (mix(g), mix(h));
        }
        Ok(Self { decimal_year: year, reach: reach(&coefficients), coefficients })
    }

    /// The decimal year it holds for.
    pub fn decimal_year(&self) -> f64 {
        self.decimal_year
    }

    /// The field at a geodetic place, WGS-84.
    ///
    /// * `height_km`: above the ellipsoid; the model holds outside the Earth's core.
    pub fn field(&self, latitude_deg: f64, longitude_deg: f64, height_km: f64) -> FieldVector {
        let [x, y, z] = self.field_ecef_nt(ecef_km(latitude_deg, longitude_deg, height_km));
        let axes = local_axes(latitude_deg, longitude_deg);
        let along = |axis: [f64; 3]| x * axis[0] + y * axis[1] + z * axis[2];
        FieldVector { north_nt: along(axes.north), east_nt: along(axes.east), down_nt: -along(axes.up) }
    }

    /// The three coefficients of the centred dipole, nT: g10, g11, h11.
    pub(crate) fn dipole_terms_nt(&self) -> [f64; 3] {
        let (g10, _) = self.coefficients[1];
        let (g11, h11) = self.coefficients[2];
        [g10, g11, h11]
    }

    /// The field at an Earth-fixed position (km), nT, along the Earth-fixed axes.
    ///
    /// Degrees whose part is below a millionth of the dipole's at that distance are left out.
    pub fn field_ecef_nt(&self, [x, y, z]: [f64; 3]) -> [f64; 3] {
        // on the axis the azimuth is free: a millimetre off it is as good
        let rho = x.hypot(y).max(1e-6);
        let r = rho.hypot(z);
        let (cos_theta, sin_theta) = (z / r, rho / r);
        let (cos_phi, sin_phi) = if x.hypot(y) > 1e-6 { (x / rho, y / rho) } else { (1.0, 0.0) };
        let distance = r / REFERENCE_RADIUS_KM;
        let degree = (1..=DEGREE).rev().find(|&n| distance <= self.reach[n]).unwrap_or(1);
        let sums = self.sums(degree, cos_theta, sin_theta, cos_phi, sin_phi, 1.0 / distance);
        let (radial, south, east) = (sums[0], sums[1], sums[2] / sin_theta);
        [
            (radial * sin_theta + south * cos_theta) * cos_phi - east * sin_phi,
            (radial * sin_theta + south * cos_theta) * sin_phi + east * cos_phi,
            radial * cos_theta - south * sin_theta,
        ]
    }

    /// Radial field, southward field, and eastward field times sin(colatitude).
    ///
    /// Schmidt functions column by column (order by order), each by the recursion in degree; cosines and sines of the order's
    /// longitude by rotation.
    fn sums(
        &self,
        degree: usize,
        cos_theta: f64,
        sin_theta: f64,
        cos_phi: f64,
        sin_phi: f64,
        inverse: f64,
    ) -> [f64; 3] {
        let recursion = recursion();
        let mut power = [0.0; DEGREE + 1];
        power[1] = inverse.powi(3);
        for n in 2..=degree {
            power[n] = power[n - 1] * inverse;
        }
        let (mut cos_m, mut sin_m) = (1.0, 0.0);
        // P and dP/dtheta of the diagonal term (m, m)
        let (mut diagonal, mut diagonal_slope) = (1.0, 0.0);
        let mut sums = [0.0; 3];
        for m in 0..=degree {
            if m > 0 {
                let factor = recursion.diagonal[m];
                diagonal_slope = factor * (sin_theta * diagonal_slope + cos_theta * diagonal);
                diagonal *= factor * sin_theta;
                (cos_m, sin_m) = (cos_m * cos_phi - sin_m * sin_phi, sin_m * cos_phi + cos_m * sin_phi);
            }
            let (mut before, mut before_slope) = (0.0, 0.0);
            let (mut p, mut slope) = (diagonal, diagonal_slope);
            for n in m..=degree {
                if n > m {
                    let (a, b) = recursion.step[index(n, m)];
                    let next = a * cos_theta * p - b * before;
                    let next_slope = a * (cos_theta * slope - sin_theta * p) - b * before_slope;
                    (before, before_slope) = (p, slope);
                    (p, slope) = (next, next_slope);
                }
                if n == 0 {
                    continue;
                }
                let (g, h) = self.coefficients[index(n, m)];
                let even = (g * cos_m + h * sin_m) * power[n];
                let odd = (g * sin_m - h * cos_m) * power[n];
                sums[0] += (n + 1) as f64 * even * p;
                sums[1] -= even * slope;
                sums[2] += m as f64 * odd * p;
            }
        }
        sums
    }
}

fn index(n: usize, m: usize) -> usize {
    n * (n + 1) / 2 + m
}

/// Distance in reference radii beyond which each degree stays under [`NEGLIGIBLE`] of the dipole.
fn reach(coefficients: &[(f64, f64); TERMS]) -> [f64; DEGREE + 1] {
    // root mean square strength of a degree at the reference sphere (Lowes 1966)
    let strength = |n: usize| {
        let squares: f64 = (0..=n).map(|m| coefficients[index(n, m)]).map(|(g, h)| g * g + h * h).sum();
        ((n + 1) as f64 * squares).sqrt()
    };
    let dipole = strength(1);
    std::array::from_fn(|n| {
        if n <= 1 {
            return f64::INFINITY;
        }
        (strength(n) / (NEGLIGIBLE * dipole)).powf(1.0 / (n - 1) as f64)
    })
}

/// Factors of the Schmidt recursion.
struct Recursion {
    diagonal: [f64; DEGREE + 1],
    step: [(f64, f64); TERMS],
}

fn recursion() -> &'static Recursion {
    static TABLE: OnceLock<Recursion> = OnceLock::new();
    TABLE.get_or_init(|| {
        let mut table = Recursion { diagonal: [1.0; DEGREE + 1], step: [(0.0, 0.0); TERMS] };
        for m in 2..=DEGREE {
            table.diagonal[m] = ((2 * m - 1) as f64 / (2 * m) as f64).sqrt();
        }
        for n in 1..=DEGREE {
            for m in 0..n {
                let norm = ((n * n - m * m) as f64).sqrt();
                let previous = if n > m + 1 { (((n - 1) * (n - 1) - m * m) as f64).sqrt() } else { 0.0 };
                table.step[index(n, m)] = ((2 * n - 1) as f64 / norm, previous / norm);
            }
        }
        table
    })
}

/// Coefficients of one term at every epoch: g, h.
type Epochs = ([f64; EPOCHS], [f64; EPOCHS]);

fn table() -> &'static [Epochs] {
    static TABLE: OnceLock<Vec<Epochs>> = OnceLock::new();
    TABLE.get_or_init(|| {
        let mut terms = vec![([0.0; EPOCHS], [0.0; EPOCHS]); TERMS];
        let lines = include_str!("../data/igrf14.csv").lines().filter(|line| !line.starts_with('#')).skip(1);
        for line in lines {
            let cells: Vec<&str> = line.split(',').collect();
            let [kind, n, m, values @ ..] = cells.as_slice() else { continue };
            let (Ok(n), Ok(m)) = (n.parse::<usize>(), m.parse::<usize>()) else { continue };
            let Some(term) = terms.get_mut(index(n, m)) else { continue };
            let column = if *kind == "g" { &mut term.0 } else { &mut term.1 };
            for (slot, value) in column.iter_mut().zip(values) {
                // a broken cell must not pass for a coefficient; a test refuses NaN
                *slot = value.trim().parse().unwrap_or(f64::NAN);
            }
        }
        terms
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_whole() {
        let table = table();
        assert!(table.iter().all(|(g, h)| g.iter().chain(h).all(|c| c.is_finite())));
        // 195 numbers of degree 1 to 13: every g of orders 0..n, every h of 1..n; the last epoch only to degree 8 changes
        let filled = table.iter().map(|(g, h)| usize::from(g[10] != 0.0) + usize::from(h[10] != 0.0)).sum::<usize>();
        assert!(filled > 180, "{filled} coefficients");
    }

    #[test]
    fn leaving_out_far_degrees_changes_nothing_that_counts() {
        let mut whole = FieldModel::at_decimal_year(2025.0).unwrap();
        let quick = whole.clone();
        whole.reach = [f64::INFINITY; DEGREE + 1];
        for r in [6371.0, 8000.0, 12_000.0, 40_000.0] {
            for direction in [[0.3, 0.5, 0.812], [0.9, -0.1, -0.42], [0.0, 0.0, 1.0]] {
                let at = direction.map(|c: f64| c * r);
                let (a, b) = (whole.field_ecef_nt(at), quick.field_ecef_nt(at));
                let difference = (0..3).map(|i| (a[i] - b[i]).powi(2)).sum::<f64>().sqrt();
                let strength = a.iter().map(|c| c * c).sum::<f64>().sqrt();
                assert!(difference < 13.0 * NEGLIGIBLE * strength, "{r} km: {difference} of {strength} nT");
            }
        }
    }

    #[test]
    fn dates_outside_the_span_are_refused_by_name() {
        let error = FieldModel::at_decimal_year(2031.0).unwrap_err();
        assert!(error.to_string().contains("1975 to 2030"));
        assert!(FieldModel::at_decimal_year(f64::NAN).is_err());
    }
}
