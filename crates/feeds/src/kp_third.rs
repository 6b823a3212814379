use std::fmt;

use crate::row::Fault;

/// ap for Kp = 0, 1/3, 2/3 ... 9, in units of 2 nT.
///
/// Bartels, Heck & Johnston 1939; as in the GFZ file since 1932 and in Matzka et al. 2021, table 1.
const AP: [u16; 28] =
    [0, 2, 3, 4, 5, 6, 7, 9, 12, 15, 18, 22, 27, 32, 39, 48, 56, 67, 80, 94, 111, 132, 154, 179, 207, 236, 300, 400];

/// How far a printed value may lie from a third: publishers print .333 or .33, .667 or .67.
const THIRD_TOLERANCE: f64 = 0.006;

/// Kp as it is made: a whole number of thirds, 0 to 27.
///
/// Publishers print the same value as 2.667, 2.67, 27 (tenths) or 3-; here they are equal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct KpThird(u8);

impl KpThird {
    /// Kp 9.
    pub const HIGHEST: Self = Self(27);

    /// From a number of thirds; `None` above 27.
    pub fn from_thirds(thirds: u8) -> Option<Self> {
        (thirds <= Self::HIGHEST.0).then_some(Self(thirds))
    }

    /// From a printed decimal (2.667, 2.67); `None` outside 0 to 9 or where it is no third.
    pub fn from_decimal(kp: f64) -> Option<Self> {
        (0..=Self::HIGHEST.0).map(Self).find(|third| (third.kp() - kp).abs() < THIRD_TOLERANCE)
    }

    /// From tenths as `.wdc` files print them: 23 is 2+, 27 is 3-, 30 is 3o.
    pub fn from_tenths(tenths: u8) -> Option<Self> {
        let part = match tenths % 10 {
            0 => 0,
            3 => 1,
            7 => 2,
            _other => return None,
        };
        Self::from_thirds(tenths / 10 * 3 + part)
    }

    /// From a digit and a sign: `2+`, `3o`, `3-`.
    pub fn from_sign(text: &str) -> Option<Self> {
        let mut characters = text.chars();
        let whole = u8::try_from(characters.next()?.to_digit(10)?).ok()?;
        let sign = characters.next()?;
        if characters.next().is_some() {
            return None;
        }
        Self::from_thirds(signed_thirds(u16::from(whole), sign).and_then(|thirds| u8::try_from(thirds).ok())?)
    }

    /// Thirds, 0 to 27.
    pub fn thirds(self) -> u8 {
        self.0
    }

    /// Kp, 0 to 9.
    pub fn kp(self) -> f64 {
        f64::from(self.0) / 3.0
    }

    /// The equivalent amplitude ap, units of 2 nT.
    pub fn ap(self) -> u16 {
        AP.get(usize::from(self.0)).copied().unwrap_or_default()
    }
}

impl fmt::Display for KpThird {
    /// The trade's way of writing: `2+`, `3o`, `3-`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 % 3 {
            0 => write!(f, "{}o", self.0 / 3),
            1 => write!(f, "{}+", self.0 / 3),
            _two => write!(f, "{}-", self.0 / 3 + 1),
        }
    }
}

/// Thirds of a whole number with a sign behind it: 24o is 72, 16+ is 49, 15- is 44.
pub(crate) fn signed_thirds(whole: u16, sign: char) -> Option<u16> {
    let thirds = whole.checked_mul(3)?;
    match sign {
        'o' => Some(thirds),
        '+' => thirds.checked_add(1),
        '-' => thirds.checked_sub(1),
        _other => None,
    }
}

/// The equivalent amplitude ap of a Kp, units of 2 nT; `None` where Kp is no third of 0 to 9.
pub fn ap_of_kp(kp: f64) -> Option<u16> {
    KpThird::from_decimal(kp).map(KpThird::ap)
}

/// Kp of a mean of several ap, such as a daily A index: linearly between the thirds. Kp itself is never averaged.
///
/// Below 0 it is 0, above 400 it is 9.
pub(crate) fn kp_of_mean_ap(ap: f64) -> f64 {
    if ap.is_nan() {
        return 0.0;
    }
    let above = AP.iter().position(|known| f64::from(*known) >= ap).unwrap_or(AP.len() - 1);
    let Some(below) = above.checked_sub(1) else { return 0.0 };
    let (low, high) = (f64::from(AP[below]), f64::from(AP[above]));
    ((below as f64 + (ap - low) / (high - low)) / 3.0).clamp(0.0, 9.0)
}

/// Checks a printed ap against its Kp: a flipped digit in either shows here.
pub(crate) fn check_ap(field: &'static str, kp: KpThird, ap: i32) -> Result<(), Fault> {
    if i32::from(kp.ap()) == ap {
        return Ok(());
    }
    Err(Fault::new(field, format!("ap {ap} does not belong to Kp {kp}, whose ap is {}", kp.ap())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_four_ways_of_printing_a_value_agree() {
        let three_minus = KpThird::from_thirds(8);
        assert_eq!(KpThird::from_decimal(2.667), three_minus);
        assert_eq!(KpThird::from_decimal(2.67), three_minus);
        assert_eq!(KpThird::from_tenths(27), three_minus);
        assert_eq!(KpThird::from_sign("3-"), three_minus);
        assert_eq!(three_minus.unwrap().to_string(), "3-");
    }

    #[test]
    fn a_mean_ap_falls_between_the_thirds() {
        for third in (0..=27).filter_map(KpThird::from_thirds) {
            assert!((kp_of_mean_ap(f64::from(third.ap())) - third.kp()).abs() < 1e-12, "{third}");
        }
        assert!((kp_of_mean_ap(13.5) - 3.0 + 1.0 / 6.0).abs() < 1e-12, "between 3- (12) and 3o (15)");
        for (ap, kp) in [(-1.0, 0.0), (1e300, 9.0), (f64::NAN, 0.0)] {
            assert!((kp_of_mean_ap(ap) - kp).abs() < 1e-12, "{ap}");
        }
    }

    #[test]
    fn what_is_no_third_is_refused() {
        for kp in [-1.0, -0.333, 0.5, 2.6, 9.333, 1e300, f64::NAN, f64::INFINITY] {
            assert_eq!(KpThird::from_decimal(kp), None, "{kp}");
        }
        for text in ["", "3", "0-", "9+", "3x", "33-", "-3", "３o"] {
            assert_eq!(KpThird::from_sign(text), None, "{text}");
        }
        for tenths in [1, 28, 93, 97, 99, 255] {
            assert_eq!(KpThird::from_tenths(tenths), None, "{tenths}");
        }
    }

    #[test]
    fn every_third_survives_its_own_printing() {
        for third in (0..=27).filter_map(KpThird::from_thirds) {
            assert_eq!(KpThird::from_sign(&third.to_string()), Some(third));
            assert_eq!(KpThird::from_decimal(third.kp()), Some(third));
        }
    }
}
