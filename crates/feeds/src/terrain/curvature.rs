//! How the round Earth and the air's refraction change the altitude of far terrain.

/// Mean radius of the Earth, m (IUGG). The true radius of curvature differs by up to half a per cent.
pub const EARTH_RADIUS_M: f64 = 6_371_008.8;
/// Coefficient of terrestrial refraction: radius of the Earth over radius of a grazing ray of light.
///
/// Gauss's 0.13 from the survey of Hanover, still geodesy's mean value for daylight (from memory; Torge, *Geodesy*). By night
/// over cold ground it may be 0.2 to 0.3, which lifts terrain 60 km away by another 0.02 to 0.05 degrees.
pub const REFRACTION_COEFFICIENT: f64 = 0.13;
/// Radius on which bent rays become straight.
const EFFECTIVE_RADIUS_M: f64 = EARTH_RADIUS_M / (1.0 - REFRACTION_COEFFICIENT);

/// Apparent altitude, degrees, of a point `height_m` above the sea, `distance_m` away along the ground, for an eye
/// `eye_m` above the sea.
///
/// # Source
///
/// Geometry on a sphere of radius `R / (1 - k)`; heights and distances are those of the true sphere.
pub fn apparent_altitude_deg(eye_m: f64, height_m: f64, distance_m: f64) -> f64 {
    Sighting::at(distance_m).slope(eye_m, height_m).atan().to_degrees()
}

/// Apparent altitude of the sea's horizon, degrees: 0 at the shore, negative above it.
pub fn sea_horizon_deg(eye_m: f64) -> f64 {
    -(EFFECTIVE_RADIUS_M / (EFFECTIVE_RADIUS_M + eye_m.max(0.0))).acos().to_degrees()
}

/// What one distance does to every sight over it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sighting {
    sine: f64,
    /// 1 - cos, kept apart: close by, the difference of two radii would lose the centimetres.
    versine: f64,
}

impl Sighting {
    pub(super) fn at(distance_m: f64) -> Self {
        let angle = distance_m / EFFECTIVE_RADIUS_M;
        Self { sine: angle.sin(), versine: 2.0 * (angle / 2.0).sin().powi(2) }
    }

    /// Tangent of the apparent altitude.
    pub(super) fn slope(self, eye_m: f64, height_m: f64) -> f64 {
        let radius = EFFECTIVE_RADIUS_M + height_m;
        (height_m - eye_m - radius * self.versine) / (radius * self.sine)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Textbooks round the coefficient to 0.13 or 0.14 (drop) and take up to 0.17 (sea horizon).
    const TEXTBOOK_SHARE: f64 = 0.03;

    #[test]
    fn far_ground_drops_as_surveyors_say() {
        // combined curvature and refraction: 0.0675 m times the square of the kilometres (Ghilani & Wolf, Elementary
        // Surveying, with k = 0.14; from memory)
        for km in [1.0, 5.0, 20.0, 60.0] {
            let drop_m = -apparent_altitude_deg(0.0, 0.0, km * 1000.0).to_radians().tan() * km * 1000.0;
            let said_m = 0.0675 * km * km;
            assert!((drop_m / said_m - 1.0).abs() < TEXTBOOK_SHARE, "{km} km: {drop_m} for {said_m}");
        }
    }

    #[test]
    fn the_sea_horizon_dips_as_navigators_say() {
        // dip of 1.76 minutes of arc times the root of the height in metres (Nautical Almanac, from memory)
        for eye_m in [2.0, 10.0, 100.0, 1000.0] {
            let dip_minutes = -sea_horizon_deg(eye_m) * 60.0;
            let said = 1.76 * f64::sqrt(eye_m);
            assert!((dip_minutes / said - 1.0).abs() < TEXTBOOK_SHARE, "{eye_m} m: {dip_minutes} for {said}");
        }
    }
}
