//! The compact expansion of quasi-dipole coordinates that widely used libraries evaluate instead of tracing.

#![expect(clippy::needless_range_loop, reason = "matrix algebra reads as the textbook writes it")]

use std::sync::OnceLock;

use crate::apex::{MagneticCoordinates, check_point, trace};
use crate::coefficients::{EPOCHS, epoch_year, position};
use crate::constants::APEX_RADIUS_KM;
use crate::decimal_year::decimal_year;
use crate::error::GeomagError;
use crate::field::FieldModel;
use crate::least_squares::solve_normal;
use crate::legendre::{DEGREE, Harmonics, PAIRS, pair};
use crate::vector::unit_to;
use quantity::Timestamp;

/// Powers of R/(R + h), from the first.
const POWERS: usize = 3;
/// Heights of the fit, even in R/(R + h): four to each power.
const HEIGHTS: usize = 4 * POWERS;
/// Parallels and meridians of the fit: four to each degree.
const CIRCLES: usize = 4 * DEGREE;

/// Cosine and sine part of one harmonic, for the three components of the quasi-dipole vector.
type Pair = [[f64; 3]; 2];
/// One surface expansion per power of R/(R + h).
type Coefficients = [[Pair; PAIRS]; POWERS];

/// Quasi-dipole and modified apex coordinates by a fitted expansion, as libraries give them.
///
/// The unit vector of quasi-dipole latitude and longitude, less that of the centred dipole, is fitted by spherical harmonics
/// of degree 6 in geodetic latitude and longitude times a cubic in R/(R + h), between the ground and 11 Earth radii. It is
/// linear in time between the epochs of the field model. Degree 6 cannot follow the field of degree 13: against [`trace`],
/// which keeps to the definition, the median difference is 0.04 degrees and the largest, over North America and the South
/// Atlantic, 0.2. Use this to compare with numbers from such a library, and [`trace`] for everything else.
///
/// # Source
///
/// J. T. Emmert, A. D. Richmond & D. P. Drob, *J. Geophys. Res.* 115, A08322 (2010), section 3. Fitted here to our own
/// traces; nothing is copied.
///
/// # Example
///
/// ```
/// use geomag::ApexExpansion;
///
/// // Minneapolis, where an independent library gives 54.056 and tracing 53.936; the fit follows the library to 0.03.
/// let library = ApexExpansion::at_decimal_year(2025.0)?.coordinates(44.98, -93.27, 110.0)?;
/// assert!((library.qd_lat_deg - 54.056).abs() < 0.03);
/// # Ok::<(), geomag::GeomagError>(())
/// ```
#[derive(Debug, Clone, Copy)]
pub struct ApexExpansion {
    /// The fits at the epochs before and after.
    epochs: [&'static Epoch; 2],
    /// Weight of the later epoch.
    share: f64,
}

impl ApexExpansion {
    /// The expansion for an instant; see [`ApexExpansion::at_decimal_year`].
    ///
    /// # Errors
    ///
    /// As [`ApexExpansion::at_decimal_year`].
    pub fn at(instant: Timestamp) -> Result<Self, GeomagError> {
        Self::at_decimal_year(decimal_year(instant))
    }

    /// The expansion for a decimal year.
    ///
    /// The first time an epoch is needed some 7000 lines are traced and fitted, a fraction of a second of work; the fit is kept.
    ///
    /// # Errors
    ///
    /// [`GeomagError::OutsideSpan`] before 1975 or after 2030.0; [`GeomagError::NotFinite`].
    pub fn at_decimal_year(decimal_year: f64) -> Result<Self, GeomagError> {
        let (before, share) = position(decimal_year)?;
        Ok(Self { epochs: [kept(before)?, kept(before + 1)?], share })
    }

    /// Coordinates of a point: geodetic degrees, and km above the ellipsoid.
    ///
    /// # Errors
    ///
    /// A number that is not finite or out of range.
    pub fn coordinates(
        &self,
        latitude_deg: f64,
        longitude_deg: f64,
        height_km: f64,
    ) -> Result<MagneticCoordinates, GeomagError> {
        check_point(latitude_deg, longitude_deg, height_km)?;
        let harmonics = Harmonics::at(latitude_deg, longitude_deg);
        let [before, after] = self.epochs.each_ref().map(|epoch| epoch.vector(&harmonics, height_km));
        let vector = std::array::from_fn(|i| before[i] * (1.0 - self.share) + after[i] * self.share);
        Ok(MagneticCoordinates::from_qd_vector(vector, height_km))
    }
}

/// The fit of one epoch of the field model's table, made when it is first asked for.
fn kept(epoch: usize) -> Result<&'static Epoch, GeomagError> {
    static FITS: [OnceLock<Epoch>; EPOCHS] = [const { OnceLock::new() }; EPOCHS];
    if let Some(fit) = FITS[epoch].get() {
        return Ok(fit);
    }
    let fit = Epoch::fitted(epoch_year(epoch))?;
    Ok(FITS[epoch].get_or_init(|| fit))
}

/// The expansion at one epoch of the field model: corrections to the centred dipole.
#[derive(Debug, Clone)]
struct Epoch {
    dipole: DipoleAxes,
    corrections: Box<Coefficients>,
}

impl Epoch {
    fn fitted(decimal_year: f64) -> Result<Self, GeomagError> {
        let field = FieldModel::at_decimal_year(decimal_year)?;
        let dipole = DipoleAxes::of(&field);
        let mut corrections = Box::new([[[[0.0; 3]; 2]; PAIRS]; POWERS]);
        let zones: Vec<_> =
            (0..CIRCLES).map(parallel_deg).map(|lat| Zone::sampled(&field, &dipole, lat)).collect::<Result<_, _>>()?;
        for order in 0..=DEGREE {
            fit_order(&zones, order, &mut corrections);
        }
        Ok(Self { dipole, corrections })
    }

    fn vector(&self, harmonics: &Harmonics, height_km: f64) -> [f64; 3] {
        let mut vector = self.dipole.turned(harmonics.direction);
        let mut power = 1.0;
        for surface in self.corrections.iter() {
            power *= APEX_RADIUS_KM / (APEX_RADIUS_KM + height_km);
            for (coefficients, value) in surface.iter().zip(&harmonics.values) {
                for (i, sum) in vector.iter_mut().enumerate() {
                    *sum += power * (coefficients[0][i] * value[0] + coefficients[1][i] * value[1]);
                }
            }
        }
        vector
    }
}

/// Axes of centred-dipole coordinates in the Earth-fixed frame.
#[derive(Debug, Clone, Copy)]
struct DipoleAxes([[f64; 3]; 3]);

impl DipoleAxes {
    fn of(field: &FieldModel) -> Self {
        let dipole = field.dipole();
        Self([
            unit_to(dipole.pole_latitude_deg - 90.0, dipole.pole_longitude_deg),
            unit_to(0.0, dipole.pole_longitude_deg + 90.0),
            unit_to(dipole.pole_latitude_deg, dipole.pole_longitude_deg),
        ])
    }

    fn turned(&self, direction: [f64; 3]) -> [f64; 3] {
        self.0.map(|axis| crate::vector::dot(axis, direction))
    }
}

fn parallel_deg(index: usize) -> f64 {
    (index as f64 + 0.5) * 180.0 / CIRCLES as f64 - 90.0
}

/// What the traces around one parallel say: for each power of R/(R + h) the vector at each meridian.
struct Zone {
    latitude_deg: f64,
    by_meridian: Vec<[[f64; 3]; POWERS]>,
}

impl Zone {
    fn sampled(field: &FieldModel, dipole: &DipoleAxes, latitude_deg: f64) -> Result<Self, GeomagError> {
        let column = |meridian: usize| fit_column(field, dipole, latitude_deg, meridian_deg(meridian));
        Ok(Self { latitude_deg, by_meridian: (0..CIRCLES).map(column).collect::<Result<_, _>>()? })
    }

    /// Fourier coefficient of one order around the parallel.
    fn fourier(&self, order: usize, power: usize) -> Pair {
        let share = if order == 0 { 1.0 } else { 2.0 } / CIRCLES as f64;
        let mut sums = [[0.0; 3]; 2];
        for (meridian, columns) in self.by_meridian.iter().enumerate() {
            let (sin, cos) = (order as f64 * meridian_deg(meridian)).to_radians().sin_cos();
            for (i, value) in columns[power].iter().enumerate() {
                sums[0][i] += share * cos * value;
                sums[1][i] += share * sin * value;
            }
        }
        sums
    }
}

fn meridian_deg(index: usize) -> f64 {
    index as f64 * 360.0 / CIRCLES as f64 - 180.0
}

/// Least squares in height: the coefficient of each power of R/(R + h) above one place.
fn fit_column(
    field: &FieldModel,
    dipole: &DipoleAxes,
    latitude_deg: f64,
    longitude_deg: f64,
) -> Result<[[f64; 3]; POWERS], GeomagError> {
    let reference = dipole.turned(unit_to(latitude_deg, longitude_deg));
    let mut normal = [[0.0; POWERS]; POWERS];
    let mut right = [[0.0; 3]; POWERS];
    for step in 1..=HEIGHTS {
        let ratio = step as f64 / HEIGHTS as f64;
        let height_km = APEX_RADIUS_KM / ratio - APEX_RADIUS_KM;
        let traced = trace(field, latitude_deg, longitude_deg, height_km)?.qd_vector();
        let powers = [ratio, ratio * ratio, ratio * ratio * ratio];
        for (row, p) in powers.into_iter().enumerate() {
            for (column, q) in powers.into_iter().enumerate() {
                normal[row][column] += p * q;
            }
            for i in 0..3 {
                right[row][i] += p * (traced[i] - reference[i]);
            }
        }
    }
    Ok(solve_normal(normal, right))
}

/// Least squares over the parallels for all degrees of one order; even meridians keep the orders apart.
fn fit_order(zones: &[Zone], order: usize, corrections: &mut Coefficients) {
    let count = DEGREE + 1 - order;
    for (power, surface) in corrections.iter_mut().enumerate() {
        // Unused degrees keep a 1 on the diagonal and so a coefficient of 0.
        let mut normal: [[f64; DEGREE + 1]; DEGREE + 1] =
            std::array::from_fn(|i| std::array::from_fn(|j| f64::from(u8::from(i == j && i >= count))));
        let mut right = [[0.0; 6]; DEGREE + 1];
        for zone in zones {
            let functions = Harmonics::at(zone.latitude_deg, 0.0);
            let weight = zone.latitude_deg.to_radians().cos();
            let [cosine, sine] = zone.fourier(order, power);
            for row in 0..count {
                let p = weight * functions.values[pair(order + row, order)][0];
                for column in 0..count {
                    normal[row][column] += p * functions.values[pair(order + column, order)][0];
                }
                for i in 0..3 {
                    right[row][i] += p * cosine[i];
                    right[row][3 + i] += p * sine[i];
                }
            }
        }
        for (row, [a, b, c, d, e, f]) in solve_normal(normal, right).into_iter().enumerate().take(count) {
            surface[pair(order + row, order)] = [[a, b, c], [d, e, f]];
        }
    }
}
