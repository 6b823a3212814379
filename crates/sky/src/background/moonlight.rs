//! Moonlight scattered by the air: Krisciunas & Schaefer, Publ. Astron. Soc. Pac. 103, 1033 (1991).

use quantity::Horizontal;

use super::conditions::{MoonLight, OppositionSurge, SkyConditions};
use crate::airmass::scattered_light;

/// Relative error of the model (one standard deviation; the paper finds 8 to 23 %).
pub const MOON_SIGMA: f64 = 0.25;
/// Mean distance of the Moon, km, to which the phase law belongs.
pub const MEAN_MOON_DISTANCE_KM: f64 = 384_400.0;
/// Distances accepted, km: wide of perigee and apogee, as seen from anywhere on Earth.
const DISTANCE_RANGE_KM: (f64, f64) = (345_000.0, 420_000.0);
/// Least separation for which the scattering function holds, degrees; nearer counts as this.
const LEAST_SEPARATION_DEG: f64 = 10.0;
/// Largest gain of the full Moon over the smooth law (same paper: up to 35 % within 7°).
const SURGE: f64 = 0.35;
/// Phase angle at which the surge begins, degrees.
const SURGE_BEGINS_DEG: f64 = 7.0;
/// Gain of the moonlit sky over snow (albedo 0.8 gives 20 to 50 %; the middle).
const SNOW_GAIN: f64 = 1.35;
/// Altitude at which the Moon gives its full light, degrees. From 0 to here our ramp bridges the step that the
/// formula, made for a Moon well up, would leave at moonrise.
const FULL_LIGHT_DEG: f64 = 2.0;

/// Illuminance of the Moon outside the air, foot-candles: `10^(-0.4 (3.84 + 0.026 |a| + 4e-9 a⁴))`, mean distance (equation 20).
///
/// * `phase_angle_deg`: 0 full, 180 new; brought to 0..180.
pub fn moon_illuminance(phase_angle_deg: f64) -> f64 {
    // NaN counts as new: no light
    let a = if phase_angle_deg.is_nan() { 180.0 } else { phase_angle_deg.abs().min(180.0) };
    10f64.powf(-0.4 * (3.84 + 0.026 * a + 4.0e-9 * a.powi(4)))
}

/// Scattering function: `10^5.36 (1.06 + cos² ρ) + 10^(6.15 - ρ/40)` (equation 21), for a separation in degrees of 10 or more.
///
/// Nearer than 10° counts as 10°: there the aureole depends on the aerosol of the night.
pub fn scattering(separation_deg: f64) -> f64 {
    let rho = if separation_deg.is_nan() { 90.0 } else { separation_deg.clamp(LEAST_SEPARATION_DEG, 180.0) };
    let cosine = rho.to_radians().cos();
    10f64.powf(5.36) * (1.06 + cosine * cosine) + 10f64.powf(6.15 - rho / 40.0)
}

/// Moonlit sky, nL, exactly as printed (equation 15): mean distance, no surge, no snow.
///
/// * `moon_altitude_deg`, `altitude_deg`: of the Moon and of the sightline. A Moon at or below the horizon gives 0.
/// * `separation_deg`: between them.
/// * `extinction_mag`: V, per airmass.
///
/// # Example
///
/// Half Moon 30° up, looking overhead (k = 0.172):
///
/// ```
/// let moonlight_nl = sky::background::krisciunas_schaefer_moon_nl(90.0, 60.0, 30.0, 90.0, 0.172);
/// assert!((moonlight_nl - 99.2).abs() < 0.05);
/// ```
pub fn krisciunas_schaefer_moon_nl(
    phase_angle_deg: f64,
    separation_deg: f64,
    moon_altitude_deg: f64,
    altitude_deg: f64,
    extinction_mag: f64,
) -> f64 {
    if moon_altitude_deg.is_nan() || moon_altitude_deg <= 0.0 {
        return 0.0;
    }
    let k = extinction_mag.max(0.0);
    let arriving = 10f64.powf(-0.4 * k * scattered_light(moon_altitude_deg));
    let scattered = 1.0 - 10f64.powf(-0.4 * k * scattered_light(altitude_deg));
    scattering(separation_deg) * moon_illuminance(phase_angle_deg) * arriving * scattered
}

/// Gain of a nearly full Moon over the smooth phase law: 1.35 at full, falling evenly to 1 at 7° (the straight line is ours).
pub fn opposition_factor(phase_angle_deg: f64) -> f64 {
    let short_of = (1.0 - phase_angle_deg.abs() / SURGE_BEGINS_DEG).max(0.0);
    1.0 + SURGE * short_of
}

#[derive(Debug, Clone, PartialEq)]
pub(super) struct MoonGlow {
    moon: MoonLight,
    extinction_mag: f64,
    /// Distance, surge, snow and closeness to the horizon together.
    gain: f64,
}

impl MoonGlow {
    /// `None` for a Moon that gives no light.
    pub(super) fn new(moon: &MoonLight, conditions: &SkyConditions) -> Option<Self> {
        let altitude_deg = moon.direction.altitude_deg;
        if altitude_deg.is_nan() || altitude_deg <= 0.0 {
            return None;
        }
        let surge = match conditions.opposition_surge {
            OppositionSurge::Ignored => 1.0,
            OppositionSurge::Included => opposition_factor(moon.phase_angle_deg),
        };
        let snow = if conditions.snow_cover { SNOW_GAIN } else { 1.0 };
        let rising = (altitude_deg / FULL_LIGHT_DEG).min(1.0);
        let gain = surge * snow * rising * distance_factor(moon.distance_km);
        Some(Self { moon: *moon, extinction_mag: conditions.extinction.v_mag(), gain })
    }

    pub(super) fn at(&self, direction: Horizontal) -> f64 {
        let moon = &self.moon;
        let separation_deg = direction.separation_deg(moon.direction);
        let altitude_deg = direction.altitude_deg;
        self.gain
            * krisciunas_schaefer_moon_nl(
                moon.phase_angle_deg,
                separation_deg,
                moon.direction.altitude_deg,
                altitude_deg,
                self.extinction_mag,
            )
    }
}

fn distance_factor(distance_km: f64) -> f64 {
    let distance_km = if distance_km.is_nan() {
        MEAN_MOON_DISTANCE_KM
    } else {
        distance_km.clamp(DISTANCE_RANGE_KM.0, DISTANCE_RANGE_KM.1)
    };
    (MEAN_MOON_DISTANCE_KM / distance_km).powi(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_surge_begins_at_seven_degrees_and_ends_at_full() {
        assert!((opposition_factor(0.0) - 1.35).abs() < 1e-12);
        assert!((opposition_factor(7.0) - 1.0).abs() < 1e-12);
        assert!((opposition_factor(-3.5) - 1.175).abs() < 1e-12);
        assert!((opposition_factor(f64::NAN) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_near_moon_is_brighter_by_the_square() {
        assert!((distance_factor(356_500.0) - 1.1626).abs() < 0.0005);
        assert!((distance_factor(f64::NAN) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn nearer_than_ten_degrees_counts_as_ten() {
        assert_eq!(scattering(0.0).to_bits(), scattering(10.0).to_bits());
    }
}
