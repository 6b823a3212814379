//! How the air feels to a lens and to a face: dew point, dew and frost, wind chill, Beaufort force.

use serde::{Deserialize, Serialize};

/// Coefficients of the Magnus formula over water, °C (Alduchov & Eskridge 1996, *J. Appl. Meteorol.* 35, 601; good to
/// 0.4 % of the vapour pressure from -40 to 50 °C).
const MAGNUS_A: f64 = 17.625;
const MAGNUS_B_C: f64 = 243.04;
/// Spread between air and dew point below which dew is likely or possible, °C, and wind below which a lens cools under
/// the clear sky or above which it does not, m/s. A lens under a clear sky falls 2 to 4 °C below calm air; from
/// memory, common practice.
const DEW_HIGH_SPREAD_C: f64 = 2.0;
const DEW_MODERATE_SPREAD_C: f64 = 4.0;
const DEW_LOW_SPREAD_C: f64 = 6.0;
const DEW_CALM_M_S: f64 = 2.0;
const DEW_WINDY_M_S: f64 = 4.0;
/// Range in which wind chill is defined: at most this warm, °C, at least this windy, km/h.
const CHILL_WARMEST_C: f64 = 10.0;
const CHILL_LEAST_WIND_KM_H: f64 = 5.0;
/// Wind chill below which bare skin may freeze within 30 and within 10 minutes, °C; from memory, as weather services
/// publish it.
const FROSTBITE_30_MIN_C: f64 = -27.0;
const FROSTBITE_10_MIN_C: f64 = -40.0;
/// Upper limits of Beaufort 0 to 11 at 10 m, m/s (WMO No. 306, code table 1100).
const BEAUFORT_TOPS_M_S: [f64; 12] = [0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7];

/// Dew point over water from temperature and relative humidity, °C.
///
/// * `temperature_c`: air temperature, -60 to 60 °C.
/// * `humidity_percent`: relative humidity over water, above 0, to 100; a little more counts as 100.
///
/// `None` outside those ranges. Below 0 °C this is the dew point over supercooled water, as services report it, not the
/// frost point.
///
/// # Source
///
/// Magnus formula, Alduchov & Eskridge 1996.
///
/// # Example
///
/// ```
/// let dew_point_c = job::dew_point_c(5.0, 80.0).unwrap();
/// assert!((dew_point_c - 1.84).abs() < 0.005);
/// assert_eq!(job::dew_point_c(5.0, 0.0), None);
/// ```
pub fn dew_point_c(temperature_c: f64, humidity_percent: f64) -> Option<f64> {
    /// Rounding and packing of models.
    const SATURATED_PERCENT: f64 = 105.0;
    let humid = humidity_percent > 0.0 && humidity_percent <= SATURATED_PERCENT;
    if !(-60.0..=60.0).contains(&temperature_c) || !humid {
        return None;
    }
    let g = (humidity_percent.min(100.0) / 100.0).ln() + MAGNUS_A * temperature_c / (MAGNUS_B_C + temperature_c);
    (g.is_finite() && g < MAGNUS_A).then(|| MAGNUS_B_C * g / (MAGNUS_A - g))
}

/// How likely water or ice settles on a lens that faces a clear sky.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum DewRisk {
    /// Dry air or wind.
    Low,
    /// Look at the lens now and then.
    Moderate,
    /// Without a heater it will be wet or white.
    High,
}

/// The risk on a lens, and whether it would be ice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct LensMoisture {
    /// How likely.
    pub risk: DewRisk,
    /// It settles as frost: the air is below 0 °C.
    pub frost: bool,
}

/// Judges dew or frost on a lens under a clear sky.
///
/// High where the air is within 2 °C of its dew point and calm (below 2 m/s); low where the spread is above 6 °C or
/// the wind above 4 m/s; moderate between. `None` for values that are no numbers.
///
/// # Source
///
/// From memory and common practice; no published table.
///
/// # Example
///
/// ```
/// use job::{DewRisk, lens_moisture};
///
/// let calm = lens_moisture(-12.0, -13.0, 0.5).unwrap();
/// assert!(calm.risk == DewRisk::High && calm.frost);
/// assert_eq!(lens_moisture(3.0, 2.0, 8.0).unwrap().risk, DewRisk::Low);
/// ```
pub fn lens_moisture(temperature_c: f64, dew_point_c: f64, wind_m_s: f64) -> Option<LensMoisture> {
    if ![temperature_c, dew_point_c, wind_m_s].into_iter().all(f64::is_finite) {
        return None;
    }
    let spread_c = temperature_c - dew_point_c;
    let risk = if spread_c > DEW_LOW_SPREAD_C || wind_m_s > DEW_WINDY_M_S {
        DewRisk::Low
    } else if spread_c < DEW_HIGH_SPREAD_C && wind_m_s < DEW_CALM_M_S {
        DewRisk::High
    } else if spread_c < DEW_MODERATE_SPREAD_C {
        DewRisk::Moderate
    } else if wind_m_s < DEW_CALM_M_S {
        // between 4 and 6 °C only the strongest cooling of a calm night reaches the dew point
        DewRisk::Moderate
    } else {
        DewRisk::Low
    };
    Some(LensMoisture { risk, frost: temperature_c < 0.0 })
}

/// Wind chill, °C: the temperature of calm air in which a bare face loses heat as fast.
///
/// * `temperature_c`: air temperature, -60 to 10 °C.
/// * `wind_m_s`: mean wind at 10 m, from 5 km/h (1.39 m/s) up to 60 m/s.
///
/// `None` outside the range for which it was made: warmer or calmer there is no wind chill to speak of.
///
/// # Source
///
/// Joint Action Group for Temperature Indices 2001, in use by the services of Canada and the United States.
///
/// # Example
///
/// ```
/// let chill_c = job::wind_chill_c(-20.0, 20.0 / 3.6).unwrap();
/// assert!((chill_c + 30.5).abs() < 0.05);
/// assert_eq!(job::wind_chill_c(15.0, 10.0), None);
/// ```
pub fn wind_chill_c(temperature_c: f64, wind_m_s: f64) -> Option<f64> {
    const FASTEST_M_S: f64 = 60.0;
    let wind_km_h = wind_m_s * 3.6;
    if !(-60.0..=CHILL_WARMEST_C).contains(&temperature_c)
        || wind_km_h < CHILL_LEAST_WIND_KM_H
        || wind_m_s > FASTEST_M_S
        || wind_m_s.is_nan()
    {
        return None;
    }
    let v = wind_km_h.powf(0.16);
    Some(13.12 + 0.6215 * temperature_c - 11.37 * v + 0.3965 * temperature_c * v)
}

/// How soon bare skin may freeze.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum FrostbiteRisk {
    /// Not by this measure.
    Low,
    /// Within half an hour.
    Within30Minutes,
    /// Within ten minutes.
    Within10Minutes,
}

/// Judges a wind chill from [`wind_chill_c`]: below -27 °C skin may freeze within 30 minutes, below -40 °C within 10.
pub fn frostbite_risk(wind_chill_c: f64) -> FrostbiteRisk {
    if wind_chill_c < FROSTBITE_10_MIN_C {
        FrostbiteRisk::Within10Minutes
    } else if wind_chill_c < FROSTBITE_30_MIN_C {
        FrostbiteRisk::Within30Minutes
    } else {
        FrostbiteRisk::Low
    }
}

/// Beaufort force, 0 to 12, of a mean wind at 10 m in m/s; `None` below 0 and for no number.
///
/// ```
/// assert_eq!(job::beaufort(0.2), Some(0));
/// assert_eq!(job::beaufort(9.0), Some(5));
/// ```
pub fn beaufort(wind_m_s: f64) -> Option<u8> {
    if wind_m_s.is_nan() || wind_m_s < 0.0 {
        return None;
    }
    u8::try_from(BEAUFORT_TOPS_M_S.iter().filter(|top| wind_m_s >= **top).count()).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Printed to two decimals.
    const DEW_POINT_C: f64 = 0.005;
    /// Printed to one decimal.
    const CHILL_C: f64 = 0.05;

    #[test]
    fn dew_points_agree_with_the_formula_worked_by_hand() {
        for (temperature, humidity, expected) in [(5.0, 80.0, 1.84), (0.0, 90.0, -1.44), (-10.0, 85.0, -12.04)] {
            let dew_point = dew_point_c(temperature, humidity).unwrap();
            assert!((dew_point - expected).abs() < DEW_POINT_C, "{temperature} {humidity}: {dew_point}");
        }
        assert!((dew_point_c(7.0, 100.0).unwrap() - 7.0).abs() < 1e-9);
        for (temperature, humidity) in [(f64::NAN, 50.0), (0.0, f64::NAN), (0.0, 0.0), (0.0, -3.0), (0.0, 120.0)] {
            assert_eq!(dew_point_c(temperature, humidity), None, "{temperature} {humidity}");
        }
    }

    #[test]
    fn wind_chill_agrees_with_the_published_table() {
        for (temperature, wind_km_h, expected) in
            [(-10.0, 20.0, -17.9), (-20.0, 20.0, -30.5), (-20.0, 40.0, -34.1), (-30.0, 30.0, -45.6)]
        {
            let chill = wind_chill_c(temperature, wind_km_h / 3.6).unwrap();
            assert!((chill - expected).abs() < CHILL_C, "{temperature} {wind_km_h}: {chill}");
        }
        for (temperature, wind_km_h) in [(10.1, 20.0), (-10.0, 4.9), (f64::NAN, 20.0), (-10.0, f64::NAN)] {
            assert_eq!(wind_chill_c(temperature, wind_km_h / 3.6), None);
        }
    }

    #[test]
    fn frostbite_follows_the_wind_chill() {
        assert_eq!(frostbite_risk(-20.0), FrostbiteRisk::Low);
        assert_eq!(frostbite_risk(-30.5), FrostbiteRisk::Within30Minutes);
        assert_eq!(frostbite_risk(-45.6), FrostbiteRisk::Within10Minutes);
    }

    #[test]
    fn dew_needs_a_small_spread_and_little_wind() {
        let risk = |spread: f64, wind| lens_moisture(5.0, 5.0 - spread, wind).unwrap().risk;
        assert_eq!(risk(1.0, 0.0), DewRisk::High);
        assert_eq!(risk(1.0, 3.0), DewRisk::Moderate);
        assert_eq!(risk(3.0, 1.0), DewRisk::Moderate);
        assert_eq!(risk(1.0, 4.5), DewRisk::Low);
        assert_eq!(risk(5.0, 1.0), DewRisk::Moderate);
        assert_eq!(risk(5.0, 3.0), DewRisk::Low);
        assert_eq!(risk(7.0, 0.0), DewRisk::Low);
        assert!(!lens_moisture(5.0, 4.0, 0.0).unwrap().frost && lens_moisture(-1.0, -2.0, 0.0).unwrap().frost);
        assert_eq!(lens_moisture(f64::NAN, 0.0, 0.0), None);
    }

    #[test]
    fn beaufort_changes_at_its_limits() {
        // WMO scale: 0 below 0.3, 1 to 1.5, 2 from 1.6, 12 from 32.7 m/s
        for (wind, force) in
            [(0.0, 0), (0.29, 0), (0.3, 1), (1.5, 1), (1.6, 2), (3.3, 2), (17.2, 8), (32.6, 11), (32.7, 12)]
        {
            assert_eq!(beaufort(wind), Some(force), "{wind}");
        }
        assert_eq!((beaufort(-0.1), beaufort(f64::NAN)), (None, None));
    }
}
