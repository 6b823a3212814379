use serde::{Deserialize, Serialize};

/// A direction in the sky of one observer: altitude above the horizon, azimuth from true north through east.
///
/// Degrees. Altitude -90 to 90; azimuth is brought to 0..360 on construction.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Horizontal {
    /// Angle above the astronomical horizon, degrees.
    pub altitude_deg: f64,
    /// Angle from true north through east, degrees, 0..360.
    pub azimuth_deg: f64,
}

impl Horizontal {
    /// A direction; the azimuth is wrapped to 0..360.
    pub fn new(altitude_deg: f64, azimuth_deg: f64) -> Self {
        Self { altitude_deg, azimuth_deg: wrap_degrees_360(azimuth_deg) }
    }

    /// Unit vector east, north, up.
    pub fn east_north_up(self) -> [f64; 3] {
        let (sin_alt, cos_alt) = self.altitude_deg.to_radians().sin_cos();
        let (sin_az, cos_az) = self.azimuth_deg.to_radians().sin_cos();
        [cos_alt * sin_az, cos_alt * cos_az, sin_alt]
    }

    /// The direction of a vector given east, north, up; its length does not matter.
    pub fn from_east_north_up([east, north, up]: [f64; 3]) -> Self {
        Self::new(up.atan2(east.hypot(north)).to_degrees(), east.atan2(north).to_degrees())
    }

    /// Great-circle distance to another direction, degrees 0..180.
    pub fn separation_deg(self, other: Self) -> f64 {
        angular_separation_deg(self.east_north_up(), other.east_north_up())
    }
}

/// Angle between two vectors, degrees, exact at small and large angles alike.
pub fn angular_separation_deg(a: [f64; 3], b: [f64; 3]) -> f64 {
    let cross = [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
    let dot = a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    (cross[0].hypot(cross[1])).hypot(cross[2]).atan2(dot).to_degrees()
}

/// Brings an angle in degrees to 0..360.
pub fn wrap_degrees_360(angle_deg: f64) -> f64 {
    let wrapped = angle_deg.rem_euclid(360.0);
    // rem_euclid of a tiny negative number rounds to 360 itself
    if wrapped >= 360.0 { 0.0 } else { wrapped }
}

/// Brings an angle in degrees to -180..180.
pub fn wrap_degrees_180(angle_deg: f64) -> f64 {
    wrap_degrees_360(angle_deg + 180.0) - 180.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of a few sines and cosines.
    const ROUND_TRIP_DEG: f64 = 1e-9;

    #[test]
    fn a_direction_survives_the_round_trip_through_a_vector() {
        for (alt, az) in [(0.0, 0.0), (12.5, 359.9), (-30.0, 181.0), (89.0, 90.0)] {
            let there = Horizontal::new(alt, az);
            let back = Horizontal::from_east_north_up(there.east_north_up());
            assert!(there.separation_deg(back) < ROUND_TRIP_DEG);
        }
    }

    #[test]
    fn a_tiny_negative_azimuth_is_north_and_not_360() {
        assert!(wrap_degrees_360(-1e-300).abs() < f64::EPSILON);
    }
}
