use serde::Serialize;

use super::Measured;
use super::instant::digits;

/// Metres per second in a knot.
const KNOT_M_S: f64 = 1852.0 / 3600.0;

/// Wind at 10 m as reported.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Wind {
    /// Where it comes from, degrees from true north; `None` where variable, calm or not measured.
    pub from_deg: Option<f64>,
    /// Mean speed, m/s.
    pub speed_m_s: f64,
    /// Gusts, m/s.
    pub gust_m_s: Option<f64>,
}

/// A wind group.
pub(super) fn group(text: &str) -> Option<Measured<Wind>> {
    let (body, unit_m_s) = [("KT", KNOT_M_S), ("MPS", 1.0), ("KMH", 1.0 / 3.6)]
        .into_iter()
        .find_map(|(unit, factor)| Some((text.strip_suffix(unit)?, factor)))?;
    // some stations double the unit
    let body = body.strip_suffix("KT").unwrap_or(body);
    if body.len() >= 5 && body.bytes().all(|b| b == b'/') {
        return Some(Measured::Missing);
    }
    let direction = body.get(..3)?;
    let (speed, gust) = match body.get(3..)?.split_once('G') {
        Some((speed, gust)) => (speed, Some(gust)),
        None => (body.get(3..)?, None),
    };
    if speed.bytes().all(|b| b == b'/') && speed.len() >= 2 {
        return Some(Measured::Missing);
    }
    let speed_m_s = speed_of(speed)? * unit_m_s;
    let from_deg = match direction {
        "VRB" | "///" => None,
        _number => Some(digits::<u16>(direction).filter(|degrees| *degrees <= 360)?),
    };
    let gust_m_s = match gust {
        Some(gust) if gust.len() >= 2 && gust.bytes().all(|b| b == b'/') => None,
        Some(gust) => Some(speed_of(gust)? * unit_m_s),
        None => None,
    };
    let calm = speed_m_s <= 0.0 && from_deg == Some(0);
    Some(Measured::Value(Wind { from_deg: from_deg.filter(|_| !calm).map(f64::from), speed_m_s, gust_m_s }))
}

/// Two or three digits; `P` before them: more than can be reported.
fn speed_of(text: &str) -> Option<f64> {
    let number = text.strip_prefix('P').unwrap_or(text);
    if !(2..=3).contains(&number.len()) {
        return None;
    }
    digits::<u16>(number).map(f64::from)
}

/// `180V240`: between which bearings it turned.
pub(super) fn is_variation(text: &str) -> bool {
    text.split_once('V').is_some_and(|(from, to)| {
        from.len() == 3 && to.len() == 3 && [from, to].iter().all(|part| digits::<u16>(part).is_some())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn knots_metres_and_gusts() {
        let wind = group("21012G24KT").unwrap().value().unwrap();
        assert_eq!(wind.from_deg, Some(210.0));
        assert!((wind.speed_m_s - 6.1733).abs() < 1e-4 && (wind.gust_m_s.unwrap() - 12.3467).abs() < 1e-4);
        let strong = group("08063G112KT").unwrap().value().unwrap();
        assert!((strong.gust_m_s.unwrap() - 57.6178).abs() < 1e-4);
        assert!((group("28003MPS").unwrap().value().unwrap().speed_m_s - 3.0).abs() < 1e-12);
        assert_eq!(group("00000KT").unwrap().value().unwrap().from_deg, None);
        assert_eq!(group("VRB02KT").unwrap().value().unwrap().from_deg, None);
        assert_eq!(group("/////KT"), Some(Measured::Missing));
        assert_eq!(group("///12KT").unwrap().value().unwrap().from_deg, None);
        for bad in ["KT", "21012", "2101KT", "99912KT", "ABC12KT", "210120000KT", "21012GKT", "é1012KT"] {
            assert_eq!(group(bad), None, "{bad}");
        }
        assert!(is_variation("170V240") && !is_variation("17V240"));
    }
}
