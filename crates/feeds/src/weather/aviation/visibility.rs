use serde::Serialize;

use super::Measured;
use super::instant::digits;

/// Metres in a statute mile.
const MILE_M: f64 = 1609.344;
/// What 9999 stands for.
const TEN_KILOMETRES_M: f64 = 10_000.0;

/// Prevailing visibility at the ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Visibility {
    /// Distance, m.
    pub distance_m: f64,
    /// How it stands to what was seen.
    pub bound: VisibilityBound,
}

/// Whether a distance is the value or a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum VisibilityBound {
    /// As reported.
    Value,
    /// At least (`9999`, `P6SM`).
    AtLeast,
    /// Less than (`M1/4SM`, `0000`).
    LessThan,
}

impl Visibility {
    /// What CAVOK says.
    pub(super) const CAVOK: Self = Self { distance_m: TEN_KILOMETRES_M, bound: VisibilityBound::AtLeast };
}

/// A visibility group. `whole` is the token before it, which may be the whole miles of `1 1/2SM`.
pub(super) fn group(text: &str, whole: Option<&str>) -> Option<Measured<Visibility>> {
    if let Some(miles) = text.strip_suffix("SM") {
        return in_miles(miles, whole);
    }
    if text == "////" || text == "////NDV" {
        return Some(Measured::Missing);
    }
    if let Some(km) = text.strip_suffix("KM").and_then(digits::<u16>) {
        let bound = if km >= 10 { VisibilityBound::AtLeast } else { VisibilityBound::Value };
        return Some(Measured::Value(Visibility { distance_m: f64::from(km) * 1000.0, bound }));
    }
    let metres = text.strip_suffix("NDV").unwrap_or(text);
    (metres.len() == 4).then_some(())?;
    Some(Measured::Value(match digits::<u16>(metres)? {
        9999 => Visibility::CAVOK,
        0 => Visibility { distance_m: 50.0, bound: VisibilityBound::LessThan },
        metres => Visibility { distance_m: f64::from(metres), bound: VisibilityBound::Value },
    }))
}

/// `4000N`: the least visibility, in that direction.
pub(super) fn is_directional(text: &str) -> bool {
    let number = text.trim_end_matches(['N', 'E', 'S', 'W']);
    number.len() == 4 && (5..=6).contains(&text.len()) && digits::<u16>(number).is_some()
}

/// Whether a token is the whole miles before a fraction.
pub(super) fn is_whole_miles(text: &str, next: Option<&str>) -> bool {
    text.len() == 1
        && digits::<u8>(text).is_some()
        && next.is_some_and(|next| next.ends_with("SM") && next.contains('/') && next.len() <= 7)
}

fn in_miles(text: &str, whole: Option<&str>) -> Option<Measured<Visibility>> {
    if text.len() >= 2 && text.bytes().all(|b| b == b'/') {
        return Some(Measured::Missing);
    }
    let (number, bound) = match text.as_bytes().first()? {
        b'P' => (text.get(1..)?, VisibilityBound::AtLeast),
        b'M' => (text.get(1..)?, VisibilityBound::LessThan),
        _digit => (text, VisibilityBound::Value),
    };
    let miles = match number.split_once('/') {
        Some((above, below)) => fraction(above, below)? + whole.and_then(digits::<u8>).map_or(0.0, f64::from),
        None if number.len() <= 3 => f64::from(digits::<u16>(number)?),
        None => return None,
    };
    Some(Measured::Value(Visibility { distance_m: miles * MILE_M, bound }))
}

/// `1/2`, and `11/2` where the blank of `1 1/2` was lost: a fraction of a mile is always below one.
fn fraction(above: &str, below: &str) -> Option<f64> {
    let denominator: u8 = digits(below).filter(|denominator| matches!(denominator, 2 | 4 | 8 | 16))?;
    let numerator: u16 = digits(above)?;
    if numerator < u16::from(denominator) {
        return Some(f64::from(numerator) / f64::from(denominator));
    }
    let (whole, rest) = (digits::<u16>(above.get(..1)?)?, digits::<u16>(above.get(1..)?)?);
    (rest < u16::from(denominator)).then(|| f64::from(whole) + f64::from(rest) / f64::from(denominator))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn miles(text: &str, whole: Option<&str>) -> f64 {
        group(text, whole).unwrap().value().unwrap().distance_m / MILE_M
    }

    #[test]
    fn metres_miles_and_their_fractions() {
        assert_eq!(group("9999", None), Some(Measured::Value(Visibility::CAVOK)));
        assert_eq!(group("9999NDV", None), Some(Measured::Value(Visibility::CAVOK)));
        assert!((group("0300", None).unwrap().value().unwrap().distance_m - 300.0).abs() < 1e-9);
        for (text, whole, expected) in [
            ("10SM", None, 10.0),
            ("1/2SM", None, 0.5),
            ("1/4SM", Some("1"), 1.25),
            ("11/2SM", None, 1.5),
            ("5/8SM", Some("1"), 1.625),
        ] {
            assert!((miles(text, whole) - expected).abs() < 1e-9, "{text}");
        }
        assert_eq!(group("M1/4SM", None).unwrap().value().unwrap().bound, VisibilityBound::LessThan);
        assert_eq!(group("P6SM", None).unwrap().value().unwrap().bound, VisibilityBound::AtLeast);
        assert_eq!(group("////SM", None), Some(Measured::Missing));
        assert_eq!(group("////", None), Some(Measured::Missing));
        for bad in ["SM", "1/0SM", "1/3SM", "P", "99999", "999", "///", "99/2SM"] {
            assert_eq!(group(bad, None), None, "{bad}");
        }
        assert!(is_directional("1100SE") && is_directional("4000W") && !is_directional("4000"));
    }
}
