use quantity::Horizontal;

/// The sky on the drawing: zenith in the middle, north up, east left, equidistant in altitude.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Projection {
    pub(super) center_x: f64,
    pub(super) center_y: f64,
    /// Of the horizon, px.
    pub(super) radius: f64,
}

impl Projection {
    /// Place of a direction; below the horizon it lands outside the rim.
    pub(super) fn place(&self, direction: Horizontal) -> (f64, f64) {
        let distance = self.radius * (90.0 - direction.altitude_deg) / 90.0;
        let (sin, cos) = direction.azimuth_deg.to_radians().sin_cos();
        (self.center_x - distance * sin, self.center_y - distance * cos)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of a sine.
    const ROUNDING_PX: f64 = 1e-9;

    #[test]
    fn north_is_up_and_east_is_left() {
        let p = Projection { center_x: 100.0, center_y: 100.0, radius: 90.0 };
        for (altitude, azimuth, x, y) in
            [(0.0, 0.0, 100.0, 10.0), (0.0, 90.0, 10.0, 100.0), (0.0, 180.0, 100.0, 190.0), (45.0, 270.0, 145.0, 100.0)]
        {
            let place = p.place(Horizontal::new(altitude, azimuth));
            assert!((place.0 - x).abs() < ROUNDING_PX && (place.1 - y).abs() < ROUNDING_PX, "{altitude} {azimuth}");
        }
    }
}
