//! Where the oval begins and ends, by two published fits.

use std::sync::OnceLock;

use crate::table;

/// One standard error of any border, degrees of magnetic latitude: the project's judgement from the spread of the
/// published fits against each other (0.5 to 3 degrees for Kp 0 to 7).
pub const BORDER_SIGMA_DEG: f64 = 2.0;

/// Kp above which Starkov's polynomials run 2 to 5 degrees too far poleward.
pub const STARKOV_KP_LIMIT: f64 = 7.0;

/// Hours of magnetic local time in a day.
const HOURS: usize = 24;

/// Equatorward border of diffuse electron precipitation, degrees of corrected geomagnetic latitude (absolute).
///
/// A straight line in Kp for each hour of magnetic local time; hours without a fit (2, 3, 13, 14) are filled from the
/// circle that fits the rest. `kp` is clipped to 0..9.
///
/// # Source
///
/// M. S. Gussenhoven, D. A. Hardy & N. Heinemann, J. Geophys. Res. 88 (A7), 5692 (1983), regression table.
pub fn diffuse_border_deg(kp: f64, mlt_h: f64) -> f64 {
    let kp = if kp.is_nan() { 0.0 } else { kp.clamp(0.0, 9.0) };
    let by_hour = |hour: usize| {
        let (intercept_deg, slope_deg) = gussenhoven()[hour % HOURS];
        intercept_deg + slope_deg * kp
    };
    // A fit stands for the middle of its hour.
    let position = if mlt_h.is_finite() { (mlt_h - 0.5).rem_euclid(24.0) } else { 0.0 };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "position is 0..24")]
    let hour = position as usize;
    let share = position - hour as f64;
    by_hour(hour) * (1.0 - share) + by_hour(hour + 1) * share
}

/// Midnight equatorward border widely published by NOAA, degrees of corrected geomagnetic latitude.
///
/// The table's ten values, 66.5 at Kp 0 to 48.1 at Kp 9, are a straight line to 0.1 degree.
pub fn noaa_midnight_border_deg(kp: f64) -> f64 {
    66.5 - 2.045 * kp
}

/// The three borders of Starkov's oval at one magnetic local time, degrees of corrected geomagnetic latitude.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StarkovBorders {
    /// Poleward border of the discrete oval.
    pub poleward_deg: f64,
    /// Equatorward border of the discrete oval.
    pub equatorward_deg: f64,
    /// Equatorward border of diffuse light.
    pub diffuse_equatorward_deg: f64,
}

/// Strength of the westward electrojet that goes with a Kp, nT, taken positive. Clipped to Kp 0..8.8, where it turns over.
///
/// # Source
///
/// G. V. Starkov 1994b, as listed by F. Sigernes et al., J. Space Weather Space Clim. 1, A03 (2011).
pub fn al_from_kp_nt(kp: f64) -> f64 {
    let kp = if kp.is_nan() { 0.0 } else { kp.clamp(0.0, 8.8) };
    18.0 - 12.3 * kp + 27.2 * kp * kp - 2.0 * kp.powi(3)
}

/// Starkov's borders for an |AL| in nT and a magnetic local time in hours.
///
/// Good up to Kp 7 ([`STARKOV_KP_LIMIT`]); above it the borders lie 2 to 5 degrees too far poleward.
///
/// # Source
///
/// G. V. Starkov, Geomagn. Aeron. 34 (3), 331 (1994); coefficients as listed by Sigernes et al. 2011. One coefficient
/// is 1.61 in two transcriptions and 1.16 in a third: 1.61 is used, the difference is 0.45 degrees of the equatorward border.
pub fn starkov_borders(al_nt: f64, mlt_h: f64) -> StarkovBorders {
    let log_al = if al_nt.is_nan() { 0.0 } else { al_nt.abs().clamp(1.0, 5000.0).log10() };
    let border_deg = |border: usize| {
        let [a0, a1, a2, a3, alpha1, alpha2, alpha3] =
            starkov()[border].map(|b| b[0] + log_al * (b[1] + log_al * (b[2] + log_al * b[3])));
        let wave = |order: f64, amplitude: f64, phase_h: f64| {
            amplitude * (15.0 * (order * mlt_h + phase_h)).to_radians().cos()
        };
        90.0 - (a0 + wave(1.0, a1, alpha1) + wave(2.0, a2, alpha2) + wave(3.0, a3, alpha3))
    };
    StarkovBorders {
        poleward_deg: border_deg(0),
        equatorward_deg: border_deg(1),
        diffuse_equatorward_deg: border_deg(2),
    }
}

/// Intercept and slope for each hour, with the hours that have no fit filled in.
fn gussenhoven() -> &'static [(f64, f64); HOURS] {
    static TABLE: OnceLock<[(f64, f64); HOURS]> = OnceLock::new();
    TABLE.get_or_init(|| {
        let mut fitted: [Option<(f64, f64)>; HOURS] = [None; HOURS];
        for row in table::rows(include_str!("../data/gussenhoven_1983.csv")) {
            if let Some(slot) = row[0].parse::<usize>().ok().and_then(|hour| fitted.get_mut(hour)) {
                *slot = Some((table::number(&row, 1), table::number(&row, 2)));
            }
        }
        let intercept = circle(&fitted, |line| line.0);
        let slope = circle(&fitted, |line| line.1);
        let mut filled = [(0.0, 0.0); HOURS];
        for (hour, slot) in filled.iter_mut().enumerate() {
            *slot = fitted[hour].unwrap_or_else(|| (intercept.at(hour), slope.at(hour)));
        }
        filled
    })
}

/// Mean and first harmonic over the hours of the day.
struct Circle {
    mean: f64,
    cosine: f64,
    sine: f64,
}

impl Circle {
    fn at(&self, hour: usize) -> f64 {
        let (sin, cos) = hour_angle(hour).sin_cos();
        self.mean + self.cosine * cos + self.sine * sin
    }
}

fn hour_angle(hour: usize) -> f64 {
    (15.0 * hour as f64).to_radians()
}

/// Least squares of a mean and a first harmonic, by iteration over the three unknowns (Gauss-Seidel).
fn circle(fitted: &[Option<(f64, f64)>; HOURS], pick: impl Fn(&(f64, f64)) -> f64) -> Circle {
    let points: Vec<(f64, f64, f64)> = fitted
        .iter()
        .enumerate()
        .filter_map(|(hour, line)| {
            let (sin, cos) = hour_angle(hour).sin_cos();
            line.as_ref().map(|line| (cos, sin, pick(line)))
        })
        .collect();
    let mut fit = Circle { mean: 0.0, cosine: 0.0, sine: 0.0 };
    // Twenty of 24 hours are there, so the system is nearly diagonal and this converges to rounding in a few rounds.
    for _round in 0..60 {
        let n = points.len().max(1) as f64;
        fit.mean = points.iter().map(|(c, s, y)| y - fit.cosine * c - fit.sine * s).sum::<f64>() / n;
        let cc: f64 = points.iter().map(|(c, _, _)| c * c).sum();
        fit.cosine =
            points.iter().map(|(c, s, y)| c * (y - fit.mean - fit.sine * s)).sum::<f64>() / cc.max(f64::MIN_POSITIVE);
        let ss: f64 = points.iter().map(|(_, s, _)| s * s).sum();
        fit.sine =
            points.iter().map(|(c, s, y)| s * (y - fit.mean - fit.cosine * c)).sum::<f64>() / ss.max(f64::MIN_POSITIVE);
    }
    fit
}

/// Coefficients `[border][A0 A1 A2 A3 alpha1 alpha2 alpha3][b0..b3]`.
fn starkov() -> &'static [[[f64; 4]; 7]; 3] {
    static TABLE: OnceLock<[[[f64; 4]; 7]; 3]> = OnceLock::new();
    TABLE.get_or_init(|| {
        let mut table = [[[f64::NAN; 4]; 7]; 3];
        for row in table::rows(include_str!("../data/starkov_1994.csv")) {
            let border = ["poleward", "equatorward", "diffuse_equatorward"].iter().position(|name| *name == row[0]);
            let parameter =
                ["A0", "A1", "A2", "A3", "alpha1", "alpha2", "alpha3"].iter().position(|name| *name == row[1]);
            if let (Some(border), Some(parameter)) = (border, parameter) {
                for (power, slot) in table[border][parameter].iter_mut().enumerate() {
                    *slot = table::number(&row, 2 + power);
                }
            }
        }
        table
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tables_are_whole() {
        assert!(starkov().iter().flatten().flatten().all(|b| b.is_finite()));
        assert!(gussenhoven().iter().all(|(a, b)| a.is_finite() && *b < 0.0));
    }

    #[test]
    fn filled_hours_lie_between_their_neighbours_or_near() {
        // Hours 2 and 3 have no fit; the circle must not jump more than the fits themselves do (3 degrees).
        for mlt in [2.5, 3.5, 13.5, 14.5] {
            let border = diffuse_border_deg(3.0, mlt);
            assert!((border - diffuse_border_deg(3.0, mlt - 2.0)).abs() < 4.0, "{mlt} h: {border}");
        }
    }
}
