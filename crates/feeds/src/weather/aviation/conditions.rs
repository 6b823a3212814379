//! The groups that observations and forecasts share: wind, visibility, weather, cloud.

use job::WeatherHour;
use quantity::Fraction;
use serde::Serialize;

use super::cloud::{ClearWord, Group, Sky, group as cloud_group};
use super::visibility::{self, Visibility};
use super::wind::{self, Wind};

/// Descriptors and phenomena of present weather (WMO No. 306, code table 4678).
const WEATHER_CODES: [&str; 32] = [
    "MI", "PR", "BC", "DR", "BL", "SH", "TS", "FZ", "DZ", "RA", "SN", "SG", "IC", "PL", "GR", "GS", "UP", "BR", "FG",
    "FU", "VA", "DU", "SA", "HZ", "PO", "SQ", "FC", "SS", "DS", "PE", "PY", "NS",
];
/// Share of the surroundings in fog by its descriptor: none, freezing, partial, patches, shallow (below 2 m), in the
/// vicinity. The code gives no numbers; the steps are the project's judgement.
const FOG: [(&str, f64); 6] = [("FZFG", 1.0), ("PRFG", 0.5), ("BCFG", 0.3), ("MIFG", 0.1), ("VCFG", 0.1), ("FG", 1.0)];

/// What a report or one group of a forecast says; `None` where it says nothing.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Conditions {
    /// Wind at 10 m.
    pub wind: Option<Wind>,
    /// Visibility at the ground.
    pub visibility: Option<Visibility>,
    /// Present weather as coded, such as `-SN`, `FZFG`; empty where none was reported.
    pub weather: Vec<String>,
    /// Cloud.
    pub sky: Option<Sky>,
    /// `NSW`: significant weather has ended (forecasts only).
    pub weather_ended: bool,
    /// `CAVOK` was said: visibility and weather as well as cloud.
    pub cavok: bool,
}

impl Conditions {
    /// Reads a group; `false` where it is none of these. `before` and `after` are its neighbours.
    pub(super) fn read(&mut self, text: &str, before: Option<&str>, after: Option<&str>) -> bool {
        if let Some(wind) = wind::group(text) {
            self.wind = self.wind.or(wind.value());
            return true;
        }
        if wind::is_variation(text) || visibility::is_directional(text) || visibility::is_whole_miles(text, after) {
            return true;
        }
        let whole = before.filter(|before| visibility::is_whole_miles(before, Some(text)));
        if let Some(visibility) = visibility::group(text, whole) {
            self.visibility = self.visibility.or(visibility.value());
            return true;
        }
        if let Some(group) = cloud_group(text) {
            self.add_cloud(group);
            return true;
        }
        if text == "NSW" {
            self.weather_ended = true;
            return true;
        }
        if text == "//" {
            return true;
        }
        if text.split('/').all(is_weather) {
            self.weather.extend(text.split('/').map(str::to_owned));
            return true;
        }
        false
    }

    fn add_cloud(&mut self, group: Group) {
        match (group, &mut self.sky) {
            (Group::Layer(layer), Some(Sky::Layers(layers))) => layers.push(layer),
            // obscured below says more than a layer above
            (Group::Layer(_), Some(Sky::Obscured { .. })) | (Group::Unknown | Group::Clear(_), Some(_)) => {}
            (Group::Layer(layer), sky) => *sky = Some(Sky::Layers(vec![layer])),
            (Group::Obscured(vertical_visibility_m), sky) => *sky = Some(Sky::Obscured { vertical_visibility_m }),
            (Group::Unknown, sky) => *sky = Some(Sky::Unknown),
            (Group::Clear(word), sky) => *sky = Some(Sky::Clear(word)),
        }
        if group == Group::Clear(ClearWord::Cavok) {
            self.cavok = true;
            self.visibility = Some(Visibility::CAVOK);
        }
    }

    /// Share of the surroundings in fog; `None` where neither weather nor visibility was reported.
    pub fn fog(&self) -> Option<Fraction> {
        let most = self
            .weather
            .iter()
            .filter_map(|code| fog_share(code))
            .fold(None, |most: Option<f64>, share| Some(most.map_or(share, |most| most.max(share))));
        match most {
            Some(share) => Some(Fraction::clamped(share)),
            None => (self.visibility.is_some() || self.weather_ended).then(|| Fraction::clamped(0.0)),
        }
    }

    /// Writes what is known into an hour.
    pub(super) fn apply(&self, hour: &mut WeatherHour) {
        if let Some(sky) = &self.sky {
            hour.cloud = sky.cover();
        }
        hour.fog = self.fog();
        if let Some(wind) = self.wind {
            hour.wind_m_s = Some(wind.speed_m_s).filter(|speed| *speed <= MOST_WIND_M_S);
            hour.wind_from_deg = wind.from_deg;
            hour.gust_m_s = wind.gust_m_s.filter(|gust| *gust <= MOST_GUST_M_S);
        }
    }
}

/// Fastest mean wind and gust believed, m/s; the same limits as `job::Weather::check`.
const MOST_WIND_M_S: f64 = 120.0;
const MOST_GUST_M_S: f64 = 150.0;

fn fog_share(code: &str) -> Option<f64> {
    let code = code.trim_start_matches(['+', '-']);
    FOG.iter().find(|(name, _)| code.starts_with(name)).map(|(_, share)| *share)
}

/// `+SHSN`, `VCTS`, `-DZSG`: intensity or vicinity, then pairs of letters of the code table.
fn is_weather(text: &str) -> bool {
    let rest = text.strip_prefix(['+', '-']).unwrap_or(text);
    let rest = rest.strip_prefix("VC").unwrap_or(rest);
    !rest.is_empty()
        && rest.len() <= 10
        && rest.is_ascii()
        && rest.len().is_multiple_of(2)
        && (0..rest.len()).step_by(2).all(|at| WEATHER_CODES.contains(&&rest[at..at + 2]))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn conditions(text: &str) -> Conditions {
        let mut conditions = Conditions::default();
        let tokens: Vec<&str> = text.split(' ').collect();
        for (index, token) in tokens.iter().enumerate() {
            let before = index.checked_sub(1).map(|before| tokens[before]);
            assert!(conditions.read(token, before, tokens.get(index + 1).copied()), "{token}");
        }
        conditions
    }

    #[test]
    fn fog_comes_from_the_words_for_it() {
        let fog = |text| conditions(text).fog().map(Fraction::value);
        assert_eq!(fog("0300 FZFG VV001"), Some(1.0));
        assert_eq!(fog("1/2SM IC BCFG FEW002"), Some(0.3));
        assert_eq!(fog("9999 VCFG FEW005"), Some(0.1));
        assert_eq!(fog("9999 BCFG MIFG NSC"), Some(0.3));
        assert_eq!(fog("CAVOK"), Some(0.0));
        assert_eq!(fog("21012KT BKN030"), None);
    }

    #[test]
    fn weather_in_one_group_or_parted_by_a_slash() {
        assert_eq!(conditions("SA/TSRA HZ/-RA +VCTSRA -SHSN").weather, ["SA", "TSRA", "HZ", "-RA", "+VCTSRA", "-SHSN"]);
        let mut conditions = Conditions::default();
        for bad in ["XX", "-", "VC", "RAX", "é", "/", "RA/"] {
            assert!(!conditions.read(bad, None, None), "{bad}");
        }
    }

    #[test]
    fn an_instrument_that_failed_does_not_hide_what_another_saw() {
        assert!(matches!(conditions("BKN041 //////TCU").sky, Some(Sky::Layers(layers)) if layers.len() == 1));
        assert_eq!(conditions("9999 // /////////").sky, Some(Sky::Unknown));
        assert!(matches!(conditions("VV003 OVC003").sky, Some(Sky::Obscured { .. })));
    }
}
