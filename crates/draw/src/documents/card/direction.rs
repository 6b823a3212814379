use job::bearing;
use quantity::Horizontal;

use crate::label::degrees_text;

/// "345° NNW".
pub(super) fn bearing_words(azimuth_deg: f64) -> String {
    format!("{} {}", degrees_text(azimuth_deg.rem_euclid(360.0).round() % 360.0), point(azimuth_deg))
}

/// Altitude from which a bearing means nothing to somebody who looks up, degrees: five off the zenith is two fingers.
const OVERHEAD_DEG: f64 = 85.0;

/// The bearing of a direction, or "overhead" near the zenith.
pub(super) fn towards(direction: Horizontal) -> String {
    if direction.altitude_deg >= OVERHEAD_DEG {
        return "overhead".to_owned();
    }
    bearing_words(direction.azimuth_deg)
}

/// "12° up", "4° down".
pub(super) fn height_words(direction: Horizontal) -> String {
    let side = if direction.altitude_deg < -0.5 { "down" } else { "up" };
    format!("{} {side}", degrees_text(direction.altitude_deg.abs()))
}

/// "NNW": the first letters of "north-north-west".
fn point(azimuth_deg: f64) -> String {
    bearing(azimuth_deg).split('-').filter_map(|word| word.chars().next()).flat_map(char::to_uppercase).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bearings_are_short_and_never_360() {
        assert_eq!([359.7, 337.4, 90.0, 200.0].map(bearing_words), ["0° N", "337° NNW", "90° E", "200° SSW"]);
        assert_eq!(height_words(Horizontal::new(-0.2, 0.0)), "0° up");
        assert_eq!(height_words(Horizontal::new(-4.0, 0.0)), "4° down");
        assert_eq!([89.8, 71.0].map(|altitude| towards(Horizontal::new(altitude, 188.0))), ["overhead", "188° S"]);
    }
}
