use quantity::{GeoPosition, Horizontal};

/// Turn of the sky, degrees a second: 360 in a sidereal day of 86 164.0905 s.
const SKY_TURN_DEG_PER_S: f64 = 360.0 / 86_164.090_5;

/// How the stars move in a direction: degrees a second toward east, north and up.
///
/// Stars turn from east to west about the celestial pole; at the pole they stand still.
pub fn sidereal_motion_deg_per_s(observer: GeoPosition, direction: Horizontal) -> [f64; 3] {
    let (sin_lat, cos_lat) = observer.latitude_deg().to_radians().sin_cos();
    let [east, north, up] = direction.east_north_up();
    // minus the turn of the Earth, about the pole (0, cos, sin)
    let cross = [cos_lat * up - sin_lat * north, sin_lat * east, -cos_lat * east];
    cross.map(|part| -SKY_TURN_DEG_PER_S * part)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stars_rise_in_the_east_and_the_pole_stands_still() {
        let place = GeoPosition::new(60.0, 20.0, 0.0).unwrap();
        let east = sidereal_motion_deg_per_s(place, Horizontal::new(0.0, 90.0));
        assert!(east[2] > 0.0 && (east[2] - SKY_TURN_DEG_PER_S * 0.5).abs() < 1e-12);
        let pole = sidereal_motion_deg_per_s(place, Horizontal::new(60.0, 0.0));
        assert!(pole.iter().all(|part| part.abs() < 1e-12));
        // on the equator of the sky, in the south: westward at the full rate
        let south = sidereal_motion_deg_per_s(place, Horizontal::new(30.0, 180.0));
        assert!((south[0] + SKY_TURN_DEG_PER_S).abs() < 1e-12);
    }
}
