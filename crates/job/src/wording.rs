//! Numbers, times and directions in words: one way of saying each thing, for every report.

use jiff::tz::TimeZone;
use quantity::{Fraction, Timestamp};

/// "21:40" in a zone.
pub(crate) fn clock(at: Timestamp, zone: &TimeZone) -> String {
    at.to_zoned_datetime(zone.clone()).strftime("%H:%M").to_string()
}

/// "1 frame", "3 frames".
pub(crate) fn counted(count: u32, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// "22:35" from decimal hours of magnetic local time.
pub(crate) fn hours_and_minutes(hours: f64) -> String {
    #[expect(clippy::cast_possible_truncation, reason = "minutes of one day")]
    let minutes = (hours * 60.0).round().rem_euclid(1440.0) as i32;
    format!("{:02}:{:02}", minutes / 60, minutes % 60)
}

/// "3 in 10": how the program says a chance. Never "0 in 10" for what is merely unlikely, nor "10 in 10" for what is likely.
pub fn chance_words(chance: Fraction) -> String {
    match chance.value() {
        p if p < 0.005 => "next to no chance".to_owned(),
        p if p < 0.05 => "less than 1 in 20".to_owned(),
        p if p > 0.95 => "more than 9 in 10".to_owned(),
        _ => format!("{} in 10", chance.in_ten().max(1)),
    }
}

/// "north-north-east" for an azimuth in degrees: one of sixteen points.
pub fn bearing(azimuth_deg: f64) -> &'static str {
    const POINTS: [&str; 16] = [
        "north",
        "north-north-east",
        "north-east",
        "east-north-east",
        "east",
        "east-south-east",
        "south-east",
        "south-south-east",
        "south",
        "south-south-west",
        "south-west",
        "west-south-west",
        "west",
        "west-north-west",
        "north-west",
        "north-north-west",
    ];
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "wrapped to 0..16")]
    let index = (quantity::wrap_degrees_360(azimuth_deg) / 22.5).round() as usize % POINTS.len();
    POINTS[index]
}

/// A brightness in kR with two significant figures: "0.35 kR", "3.1 kR", "45 kR", "320 kR".
pub(crate) fn kilorayleighs(kr: f64) -> String {
    if kr < 0.01 {
        return "under 0.01 kR".to_owned();
    }
    if kr < 0.995 {
        return format!("{kr:.2} kR");
    }
    if kr < 9.95 {
        return format!("{kr:.1} kR");
    }
    // two significant figures
    let unit = 10f64.powf(kr.log10().floor() - 1.0);
    format!("{:.0} kR", (kr / unit).round() * unit)
}

/// "3 tenths lit": the moon's lit share, without a bare percentage.
pub fn lit_words(share: f64) -> String {
    match (share * 10.0).round() {
        tenths if tenths < 1.0 => "almost new".to_owned(),
        tenths if tenths < 2.0 => "1 tenth lit".to_owned(),
        tenths if tenths > 9.5 => "full or nearly so".to_owned(),
        tenths => format!("{tenths:.0} tenths lit"),
    }
}

/// "40 min old", "3 h old": the age of an input in minutes.
pub fn age_words(minutes: f64) -> String {
    match minutes {
        m if m < 0.0 => "issued later than asked".to_owned(),
        m if m < 120.0 => format!("{m:.0} min old"),
        m if m < 48.0 * 60.0 => format!("{:.0} h old", m / 60.0),
        m => format!("{:.0} days old", m / 1440.0),
    }
}

/// "cloud 3 tenths", "cloud 6 tenths (low 1, middle 2, high 5)": cover in words.
pub fn cloud_words(cover: &crate::CloudCover) -> String {
    let Some(overall) = cover.overall() else { return "cloud not known".to_owned() };
    let layers: Vec<String> = ["low", "middle", "high"]
        .into_iter()
        .zip(cover.layers())
        .filter_map(|(name, layer)| layer.map(|layer| format!("{name} {}", layer.in_ten())))
        .collect();
    let tenths = overall.in_ten();
    let unit = if tenths == 1 { "tenth" } else { "tenths" };
    if layers.is_empty() {
        return format!("cloud {tenths} {unit}");
    }
    format!("cloud {tenths} {unit} ({})", layers.join(", "))
}

/// Kp in the usual thirds: "5+", "6-", "7".
pub(crate) fn kp(kp: f64) -> String {
    #[expect(clippy::cast_possible_truncation, reason = "0..=27")]
    let thirds = (kp.clamp(0.0, 9.0) * 3.0).round() as i32;
    match thirds % 3 {
        0 => format!("{}", thirds / 3),
        1 => format!("{}+", thirds / 3),
        _ => format!("{}-", thirds / 3 + 1),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn brightness_has_two_figures() {
        assert_eq!(kilorayleighs(0.3456), "0.35 kR");
        assert_eq!(kilorayleighs(3.12), "3.1 kR");
        assert_eq!(kilorayleighs(44.8), "45 kR");
        assert_eq!(kilorayleighs(317.0), "320 kR");
        assert_eq!(kilorayleighs(0.0001), "under 0.01 kR");
    }

    #[test]
    fn kp_is_said_in_thirds() {
        assert_eq!([4.667, 5.0, 5.333, 9.0, 0.0].map(kp), ["5-", "5", "5+", "9", "0"]);
    }

    #[test]
    fn the_moon_is_lit_in_tenths() {
        assert_eq!(
            [0.03, 0.08, 0.31, 1.0].map(lit_words),
            ["almost new", "1 tenth lit", "3 tenths lit", "full or nearly so"]
        );
    }

    #[test]
    fn bearings_go_round() {
        assert_eq!(
            [0.0, 359.0, 11.0, 90.0, 200.0, -45.0].map(bearing),
            ["north", "north", "north", "east", "south-south-west", "north-west"]
        );
    }

    #[test]
    fn unlikely_is_not_impossible() {
        assert_eq!(chance_words(Fraction::clamped(0.02)), "less than 1 in 20");
        assert_eq!(chance_words(Fraction::clamped(0.31)), "3 in 10");
        assert_eq!(chance_words(Fraction::clamped(0.999)), "more than 9 in 10");
    }
}
