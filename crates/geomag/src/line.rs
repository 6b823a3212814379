//! Following a field line.

use crate::constants::IGRF_RADIUS_KM;
use crate::field::FieldModel;
use crate::geodesy::Normal;
use crate::vector::{Ecef, along, dot, norm, scaled};

/// Steps allowed to reach an apex. Far more than a line that closes needs.
const MOST_STEPS: usize = 400;
/// Error allowed in one step, as a share of the distance from the Earth's centre.
///
/// 1e-6 is 6 m at the ground; over a line it adds up to less than 0.0005 degrees (tested against an error of 1e-11).
const STEP_ERROR: f64 = 1e-6;
/// First step, in units of the distance from the centre.
const FIRST_STEP: f64 = 0.05;
/// Longest step, in the same unit.
const LONGEST_STEP: f64 = 0.6;
/// Where the dipole alone is left (in reference radii): the rest of the line is closed in one formula.
const DIPOLE_RADIUS: f64 = 3000.0;
/// How level the line must be at its top: the height is then right to a share of 1e-10, the longitude to 1e-5 radians.
const APEX_FOUND: f64 = 1e-5;

/// The highest point of a field line above the ellipsoid.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Apex {
    pub(crate) ecef_km: Ecef,
    pub(crate) height_km: f64,
    /// Whether the start lies north of the dip equator.
    pub(crate) northern: bool,
}

/// Follows the line upward from a point to its apex; the error is the number of steps tried.
pub(crate) fn find_apex(field: &FieldModel, start_km: Ecef) -> Result<Apex, usize> {
    find_apex_to(field, start_km, STEP_ERROR)
}

fn find_apex_to(field: &FieldModel, start_km: Ecef, step_error: f64) -> Result<Apex, usize> {
    let start = Normal::at(start_km);
    let upward = dot(field.field_for_tracing_nt(start_km), start.up);
    let tracer = Tracer { field, sense: if upward < 0.0 { -1.0 } else { 1.0 } };
    let northern = upward < 0.0;
    let mut here = start_km;
    let mut slope_here = tracer.slope(here);
    let mut step = FIRST_STEP;
    let mut first = tracer.direction(here);
    for _ in 0..MOST_STEPS {
        let trial = tracer.step(here, first, step);
        let error = trial.error / step_error;
        // Fifth order: the error goes with the fifth power of the step (NaN takes the smallest factor).
        let factor = (0.9 * error.powf(-0.2)).clamp(0.2, 4.0);
        if error > 1.0 || error.is_nan() {
            step *= factor;
            continue;
        }
        let slope_there = tracer.slope(trial.point_km);
        if slope_there <= 0.0 {
            let ecef_km = tracer.top_between(here, first, step, (slope_here, slope_there));
            return Ok(Apex { ecef_km, height_km: Normal::at(ecef_km).height_km, northern });
        }
        (here, slope_here, first) = (trial.point_km, slope_there, trial.last_direction);
        if norm(here) > DIPOLE_RADIUS * IGRF_RADIUS_KM {
            return Ok(dipole_apex(field, here, northern));
        }
        step = (step * factor).min(LONGEST_STEP);
    }
    Err(MOST_STEPS)
}

/// Far out the line is that of the dipole: r = L cos^2(latitude), and its apex lies over the dipole equator.
fn dipole_apex(field: &FieldModel, here_km: Ecef, northern: bool) -> Apex {
    let axis = field.dipole().axis();
    let upward_km = dot(here_km, axis);
    let flat = along(here_km, -upward_km, axis);
    let cos = (norm(flat) / norm(here_km)).max(1e-6);
    let apex_km = norm(here_km) / (cos * cos);
    let ecef_km = scaled(flat, apex_km / norm(flat).max(f64::MIN_POSITIVE));
    Apex { ecef_km, height_km: apex_km - IGRF_RADIUS_KM, northern }
}

struct Tracer<'a> {
    field: &'a FieldModel,
    /// +1 to go along B, -1 against.
    sense: f64,
}

struct Step {
    point_km: Ecef,
    /// Difference of the fourth and fifth order results, as a share of the radius.
    error: f64,
    last_direction: Ecef,
}

impl Tracer<'_> {
    /// Derivative of position by the step variable: the unit vector of the field times the distance from the centre, so
    /// that one step fits the ground and the far tail alike.
    fn direction(&self, ecef_km: Ecef) -> Ecef {
        let b = self.field.field_for_tracing_nt(ecef_km);
        scaled(b, self.sense * (dot(ecef_km, ecef_km) / dot(b, b)).sqrt())
    }

    /// Sine of the angle at which the line climbs.
    fn slope(&self, ecef_km: Ecef) -> f64 {
        dot(self.direction(ecef_km), Normal::at(ecef_km).up) / norm(ecef_km)
    }

    /// One step of Dormand & Prince (J. Comput. Appl. Math. 6, 19, 1980), order 5 with an error estimate of order 4.
    fn step(&self, y: Ecef, k1: Ecef, h: f64) -> Step {
        let k2 = self.direction(combine(y, h, [(0.2, k1)]));
        let k3 = self.direction(combine(y, h, [(3.0 / 40.0, k1), (9.0 / 40.0, k2)]));
        let k4 = self.direction(combine(y, h, [(44.0 / 45.0, k1), (-56.0 / 15.0, k2), (32.0 / 9.0, k3)]));
        let k5 = self.direction(combine(
            y,
            h,
            [(19372.0 / 6561.0, k1), (-25360.0 / 2187.0, k2), (64448.0 / 6561.0, k3), (-212.0 / 729.0, k4)],
        ));
        let k6 = self.direction(combine(
            y,
            h,
            [
                (9017.0 / 3168.0, k1),
                (-355.0 / 33.0, k2),
                (46732.0 / 5247.0, k3),
                (49.0 / 176.0, k4),
                (-5103.0 / 18656.0, k5),
            ],
        ));
        let point_km = combine(
            y,
            h,
            [(35.0 / 384.0, k1), (500.0 / 1113.0, k3), (125.0 / 192.0, k4), (-2187.0 / 6784.0, k5), (11.0 / 84.0, k6)],
        );
        let k7 = self.direction(point_km);
        let error_km = combine(
            [0.0; 3],
            h,
            [
                (71.0 / 57600.0, k1),
                (-71.0 / 16695.0, k3),
                (71.0 / 1920.0, k4),
                (-17253.0 / 339_200.0, k5),
                (22.0 / 525.0, k6),
                (-1.0 / 40.0, k7),
            ],
        );
        Step { point_km, error: norm(error_km) / norm(point_km), last_direction: k7 }
    }

    /// The top inside the last step: regula falsi (Illinois) on the slope, each try a fresh step from its beginning.
    fn top_between(&self, here: Ecef, first: Ecef, step: f64, (slope_here, slope_there): (f64, f64)) -> Ecef {
        let (mut low, mut slope_low) = (0.0, slope_here.max(0.0));
        let (mut high, mut slope_high) = (step, slope_there);
        let mut top = here;
        for _ in 0..30 {
            let span = slope_low - slope_high;
            let middle = if span > 0.0 { low + (high - low) * slope_low / span } else { low };
            top = self.step(here, first, middle).point_km;
            let slope = self.slope(top);
            if slope.abs() < APEX_FOUND || high - low < APEX_FOUND * step {
                break;
            }
            if slope > 0.0 {
                (low, slope_low, slope_high) = (middle, slope, slope_high / 2.0);
            } else {
                (high, slope_high, slope_low) = (middle, slope, slope_low / 2.0);
            }
        }
        top
    }
}

/// `y + h (sum of weight times slope)`.
#[inline]
fn combine<const N: usize>(y: Ecef, h: f64, weighted: [(f64, Ecef); N]) -> Ecef {
    let mut sum = y;
    for (weight, k) in weighted {
        sum = along(sum, h * weight, k);
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geodesy::ecef_from_geodetic_km;

    /// A quarter of the 0.002 degrees the crate promises, so that the rest is left to the field itself.
    const CONVERGED_DEG: f64 = 0.0005;
    /// Fine enough to stand for the exact line: a twentieth of a millimetre in each step.
    const FINE_STEP_ERROR: f64 = 1e-11;
    /// Steps of the fine kind stay under the limit only where lines are closed within some hundred radii.
    const FINE_BELOW_KM: f64 = 1e6;

    #[test]
    fn finer_steps_do_not_move_the_apex() {
        let field = FieldModel::at_decimal_year(2024.4).unwrap();
        let mut compared = 0;
        for latitude in (-88..=88).step_by(8) {
            for longitude in (-180..180).step_by(40) {
                let start_km = ecef_from_geodetic_km(f64::from(latitude), f64::from(longitude), 110.0);
                let quick = find_apex(&field, start_km).unwrap();
                let Ok(fine) = find_apex_to(&field, start_km, FINE_STEP_ERROR) else {
                    assert!(quick.height_km > FINE_BELOW_KM, "{latitude} {longitude}");
                    continue;
                };
                let label = |apex: &Apex| (norm(start_km) / norm(apex.ecef_km)).sqrt().min(1.0).acos().to_degrees();
                let turned = quantity::angular_separation_deg(quick.ecef_km, fine.ecef_km);
                // Degrees of longitude at the apex count for less toward the pole.
                let across = turned * (norm(start_km) / norm(fine.ecef_km)).sqrt();
                assert!((label(&quick) - label(&fine)).abs() < CONVERGED_DEG, "{latitude} {longitude}");
                assert!(across < 2.0 * CONVERGED_DEG, "{latitude} {longitude}: {across}");
                compared += 1;
            }
        }
        assert!(compared > 150, "only {compared} lines");
    }

    #[test]
    fn far_out_a_line_is_closed_as_a_dipole() {
        let field = FieldModel::at_decimal_year(2024.4).unwrap();
        let pole = scaled(field.dipole().axis(), 6500.0);
        // The axis of the centred dipole leads farther out than the tracer follows.
        assert!(find_apex(&field, pole).unwrap().height_km > FINE_BELOW_KM / 10.0);
    }
}
