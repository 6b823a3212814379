//! Dew and frost on the front lens.

use serde::{Deserialize, Serialize};

use crate::framing::milli;
use crate::{DewRisk, WeatherHour, lens_moisture};

/// Dew or frost on the lens.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct DewReport {
    /// How likely; none where temperature or dew point is not known.
    pub risk: Option<DewRisk>,
    /// Whether it would be frost: air below 0 °C.
    pub is_frost: bool,
    /// Air temperature less dew point, K.
    pub spread_k: Option<f64>,
    /// The same in words, with what to do.
    pub text: String,
}

/// Judges the hour; none where nothing is known of it.
pub(super) fn dew(hour: Option<&WeatherHour>) -> DewReport {
    let known = hour.and_then(|hour| Some((hour.temperature_c?, hour.dew_point_c?, hour.wind_m_s)));
    let Some((temperature_c, dew_point_c, wind_m_s)) = known else {
        return DewReport {
            risk: None,
            is_frost: false,
            spread_k: None,
            text: "Dew: cannot tell without temperature and dew point. Look at the lens every few minutes.".to_owned(),
        };
    };
    let spread_k = (temperature_c - dew_point_c).max(0.0);
    // without a wind the air counts as still, which is the worse case
    let moisture = lens_moisture(temperature_c, dew_point_c, wind_m_s.unwrap_or(0.0));
    let is_frost = moisture.is_some_and(|moisture| moisture.frost);
    let risk = moisture.map(|moisture| moisture.risk);
    DewReport { risk, is_frost, spread_k: Some(milli(spread_k)), text: text(risk, is_frost, spread_k, wind_m_s) }
}

fn text(risk: Option<DewRisk>, is_frost: bool, spread_k: f64, wind_m_s: Option<f64>) -> String {
    let what = if is_frost { "Frost" } else { "Dew" };
    let air = match wind_m_s {
        Some(wind) => format!("wind {wind:.1} m/s"),
        None => "wind not known, taken as still".to_owned(),
    };
    let ground = format!("air {spread_k:.1} degrees above its dew point, {air}");
    match risk {
        Some(DewRisk::High) => {
            format!("{what} on the lens: likely within the hour ({ground}). Heat the lens from the start.")
        }
        Some(DewRisk::Moderate) => format!("{what} on the lens: may come ({ground}). Have the heater on, look often."),
        Some(DewRisk::Low) | None => format!("{what} on the lens: not likely ({ground})."),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::Timestamp;

    fn hour(temperature_c: Option<f64>, dew_point_c: Option<f64>, wind_m_s: Option<f64>) -> WeatherHour {
        WeatherHour {
            temperature_c,
            dew_point_c,
            wind_m_s,
            ..WeatherHour::unknown(Timestamp::UNIX_EPOCH, Timestamp::UNIX_EPOCH)
        }
    }

    fn risk_of(temperature_c: f64, dew_point_c: f64, wind_m_s: Option<f64>) -> Option<DewRisk> {
        dew(Some(&hour(Some(temperature_c), Some(dew_point_c), wind_m_s))).risk
    }

    #[test]
    fn still_damp_air_mists_the_lens_and_wind_keeps_it_clear() {
        assert_eq!(risk_of(3.0, 2.0, Some(0.5)), Some(DewRisk::High));
        assert_eq!(risk_of(3.0, 2.0, Some(3.0)), Some(DewRisk::Moderate));
        assert_eq!(risk_of(3.0, 2.0, Some(5.0)), Some(DewRisk::Low));
        assert_eq!(risk_of(3.0, -0.5, Some(0.5)), Some(DewRisk::Moderate));
        assert_eq!(risk_of(3.0, -5.0, Some(0.0)), Some(DewRisk::Low));
        assert_eq!(risk_of(3.0, 2.0, None), Some(DewRisk::High));
    }

    #[test]
    fn nothing_known_is_said_and_frost_is_named() {
        assert_eq!(dew(None).risk, None);
        assert_eq!(dew(Some(&hour(Some(1.0), None, Some(1.0)))).risk, None);
        assert!(dew(Some(&hour(Some(-8.0), Some(-9.0), Some(0.5)))).text.starts_with("Frost"));
    }
}
