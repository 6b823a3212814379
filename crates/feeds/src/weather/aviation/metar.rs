use jiff::SignedDuration;
use job::{Weather, WeatherHour};
use quantity::Timestamp;
use serde::Serialize;

use super::Measured;
use super::conditions::Conditions;
use super::instant::{DayTime, digits};
use crate::FeedError;
use crate::row::quote;
use crate::weather::timeline::Item;

/// How long an observation is taken to hold: routine reports come every half hour or hour.
const VALIDITY: SignedDuration = SignedDuration::from_hours(1);
/// Longest report read, bytes; the longest real ones, with remarks, have 500.
pub(super) const LONGEST_REPORT_BYTES: usize = 8000;
/// Groups that end the observation and begin a trend or remarks.
const ENDS: [&str; 8] = ["RMK", "NOSIG", "BECMG", "TEMPO", "INTER", "PROB30", "PROB40", "$"];
/// Colour states of military aerodromes; what follows them is a trend.
const COLOURS: [&str; 8] = ["BLU", "WHT", "GRN", "YLO", "YLO1", "YLO2", "AMB", "RED"];
/// Groups without a bearing on this program.
const SKIPPED: [&str; 4] = ["RTD", "SNOCLO", "WS", "CC"];

/// Routine or special.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum MetarKind {
    /// `METAR`, or not said.
    Routine,
    /// `SPECI`.
    Special,
}

/// An observation at an aerodrome.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Metar {
    /// ICAO location indicator.
    pub station: String,
    /// When it was observed.
    pub observed_at: Timestamp,
    /// Routine or special.
    pub kind: MetarKind,
    /// Made without a person (`AUTO`).
    pub automatic: bool,
    /// A correction (`COR`).
    pub corrected: bool,
    /// No report (`NIL`).
    pub nil: bool,
    /// Wind, visibility, weather, cloud.
    pub conditions: Conditions,
    /// Air temperature, °C, in whole degrees.
    pub temperature_c: Option<f64>,
    /// Dew point, °C, in whole degrees.
    pub dew_point_c: Option<f64>,
    /// Trend and remarks, as they came.
    pub rest: String,
    /// Groups that were not understood, in order.
    pub unread: Vec<String>,
}

/// Reads one METAR or SPECI.
///
/// * `text`: the report, with or without the word METAR and the final `=`.
/// * `reference`: when it was received, or any time in the day it was made. The report names day and hour only; it
///   is the latest such instant not more than a day after the reference.
///
/// # Errors
///
/// Too long, no station, or no time such as `152120Z`.
///
/// # Example
///
/// ```
/// let report = "METAR ENTC 152120Z 21012G24KT 9999 FEW025 SCT060 BKN120 M03/M08 Q0987 NOSIG";
/// let metar = feeds::weather::parse_metar(report, "2026-11-15T21:25:00Z".parse()?)?;
/// assert_eq!(metar.observed_at.to_string(), "2026-11-15T21:20:00Z");
/// assert_eq!(metar.temperature_c, Some(-3.0));
/// assert_eq!(metar.conditions.sky.unwrap().cover().high, None);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn parse_metar(text: &str, reference: Timestamp) -> Result<Metar, FeedError> {
    let mut tokens = tokens(text, "a METAR")?;
    let kind = match take(&mut tokens, &["METAR", "SPECI"]) {
        Some("SPECI") => MetarKind::Special,
        _routine => MetarKind::Routine,
    };
    let mut corrected = take(&mut tokens, &["COR"]).is_some();
    let station = station(&mut tokens, "METAR")?;
    let observed_at = tokens
        .first()
        .and_then(|token| DayTime::ddhhmm(token.strip_suffix('Z')?)?.before(reference))
        .ok_or_else(|| bad_report(&station, "its time", tokens.first().copied(), "a day and hour such as 152120Z"))?;
    let mut metar = Metar {
        station,
        observed_at,
        kind,
        automatic: false,
        corrected: false,
        nil: false,
        conditions: Conditions::default(),
        temperature_c: None,
        dew_point_c: None,
        rest: String::new(),
        unread: Vec::new(),
    };
    let body = &tokens[1..];
    let end = body.iter().position(|token| is_end(token)).unwrap_or(body.len());
    for (index, token) in body[..end].iter().enumerate() {
        match *token {
            "AUTO" => metar.automatic = true,
            "COR" | "CCA" | "CCB" | "CCC" => corrected = true,
            "NIL" => metar.nil = true,
            token if is_skipped(token) => {}
            token => metar.group(token, index.checked_sub(1).map(|before| body[before]), body.get(index + 1).copied()),
        }
    }
    metar.corrected = corrected;
    metar.rest = body[end..].join(" ");
    Ok(metar)
}

impl Metar {
    fn group(&mut self, token: &str, before: Option<&str>, after: Option<&str>) {
        if let Some((temperature_c, dew_point_c)) = temperatures(token) {
            self.temperature_c = self.temperature_c.or(temperature_c);
            self.dew_point_c = self.dew_point_c.or(dew_point_c);
        } else if !self.conditions.read(token, before, after) {
            self.unread.push(quote(token));
        }
    }

    /// The hour for which the observation is taken to hold.
    pub fn hour(&self) -> WeatherHour {
        let to = self.observed_at.checked_add(VALIDITY).unwrap_or(Timestamp::MAX);
        let mut hour = WeatherHour::unknown(self.observed_at, to);
        self.conditions.apply(&mut hour);
        if let Some(value) = self.temperature_c {
            Item::TemperatureC.set(&mut hour, value);
        }
        if let Some(value) = self.dew_point_c {
            Item::DewPointC.set(&mut hour, value);
        }
        hour
    }

    /// The observation as weather of one hour.
    pub fn to_weather(&self) -> Weather {
        let by = if self.automatic { "automatic observation" } else { "observation" };
        Weather {
            source: format!("{by} at {} (METAR)", self.station),
            issued_at: Some(self.observed_at),
            hours: vec![self.hour()],
            around: Vec::new(),
        }
    }
}

/// The groups of a report without its final `=`.
pub(super) fn tokens<'a>(text: &'a str, what: &str) -> Result<Vec<&'a str>, FeedError> {
    if text.len() > LONGEST_REPORT_BYTES {
        let problem = format!("{} bytes are too many for {what}", text.len());
        return Err(FeedError::BadReport { source_name: "report".to_owned(), problem });
    }
    let text = text.trim().trim_end_matches('=');
    let tokens: Vec<&str> = text.split_whitespace().map(|token| token.trim_end_matches('=')).collect();
    Ok(tokens.into_iter().filter(|token| !token.is_empty()).collect())
}

/// Takes the first token where it is one of these.
pub(super) fn take<'a>(tokens: &mut Vec<&'a str>, words: &[&str]) -> Option<&'a str> {
    let first = *tokens.first()?;
    words.contains(&first).then(|| tokens.remove(0))
}

/// Takes the location indicator: four letters or digits, the first a letter.
pub(super) fn station(tokens: &mut Vec<&str>, what: &str) -> Result<String, FeedError> {
    let good = |token: &&str| {
        token.len() == 4
            && token.bytes().all(|b| b.is_ascii_uppercase() || b.is_ascii_digit())
            && token.as_bytes()[0].is_ascii_uppercase()
    };
    match tokens.first().filter(|token| good(token)) {
        Some(_) => Ok(tokens.remove(0).to_owned()),
        None => Err(bad_report(what, "the station", tokens.first().copied(), "four letters such as ENTC")),
    }
}

pub(super) fn bad_report(source: &str, field: &str, found: Option<&str>, expected: &str) -> FeedError {
    let problem = match found {
        Some(found) => format!("{field} is \"{}\", not {expected}", quote(found)),
        None => format!("{field} is absent; it is {expected}"),
    };
    FeedError::BadReport { source_name: source.to_owned(), problem }
}

/// `M12/M15`, `25/` or `/////`, °C; `Some((None, None))` where nothing was measured.
fn temperatures(text: &str) -> Option<(Option<f64>, Option<f64>)> {
    if text == "/////" {
        return Some((None, None));
    }
    let (air, dew) = text.split_once('/')?;
    let (air, dew) = (degrees(air)?.value(), degrees(dew)?.value());
    (air.is_some() || dew.is_some()).then_some((air, dew))
}

fn degrees(text: &str) -> Option<Measured<f64>> {
    if text.is_empty() || text == "//" {
        return Some(Measured::Missing);
    }
    let number = text.strip_prefix('M').unwrap_or(text);
    let degrees = digits::<u8>(number).filter(|_| number.len() == 2).map(f64::from)?;
    Some(Measured::Value(if text.len() == 3 { -degrees } else { degrees }))
}

fn is_end(token: &str) -> bool {
    ENDS.contains(&token)
        || token
            .strip_prefix("BLACK")
            .unwrap_or(token)
            .split('+')
            .all(|part| part.is_empty() || COLOURS.contains(&part))
        || token.strip_prefix("FM").is_some_and(|time| time.len() >= 4 && digits::<u32>(time).is_some())
}

/// Pressure, runway visual range and state, sea, recent weather, rain since 9: read by others.
fn is_skipped(token: &str) -> bool {
    let after = |prefix: &str| token.strip_prefix(prefix);
    let is_value = |rest: &str| rest.len() >= 4 && rest.bytes().all(|b| b.is_ascii_digit() || b == b'/');
    SKIPPED.contains(&token)
        || ["Q", "A", "QNH"]
            .iter()
            .any(|prefix| after(prefix).is_some_and(|rest| is_value(rest.trim_end_matches("INS"))))
        || after("QFE").is_some()
        || after("R").is_some_and(|rest| rest.contains('/') && rest.len() >= 3)
        || after("RWY").is_some()
        || after("RE").is_some()
        || after("RF").is_some()
        || after("W").is_some_and(|rest| rest.contains("/S") || rest.contains("/H"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn metar(text: &str) -> Metar {
        parse_metar(text, "2026-11-16T06:00:00Z".parse().unwrap()).unwrap()
    }

    #[test]
    fn the_head_of_a_report() {
        let special = metar("SPECI KFAR 160512Z 35006KT M1/4SM FZFG OVC001 M08/M08 A3052 RMK AO2 T10831083=");
        assert_eq!((special.kind, special.automatic, special.corrected), (MetarKind::Special, false, false));
        assert_eq!(special.rest, "RMK AO2 T10831083");
        assert!(metar("METAR COR ENAT 152120Z 16006KT").corrected);
        assert!(metar("METAR KMYR 151856Z COR 12008KT").corrected);
        assert!(metar("METAR ENSB 152150Z NIL=").nil);
        assert!(metar("KILM 142053Z AUTO A2929 RMK AO2").automatic);
    }

    #[test]
    fn temperature_and_dew_point_with_either_missing() {
        assert_eq!(temperatures("M12/M15"), Some((Some(-12.0), Some(-15.0))));
        assert_eq!(temperatures("00/M00"), Some((Some(0.0), Some(-0.0))));
        assert_eq!(temperatures("25/"), Some((Some(25.0), None)));
        assert_eq!(temperatures("M70/"), Some((Some(-70.0), None)));
        assert_eq!(temperatures("/////"), Some((None, None)));
        for other in ["1/2", "1/2SM", "R04/0500", "//", "////", "25/1", "M/M", "/"] {
            assert_eq!(temperatures(other), None, "{other}");
        }
    }

    #[test]
    fn what_is_no_report_says_what_is_missing() {
        let error = |text| parse_metar(text, Timestamp::UNIX_EPOCH).unwrap_err().to_string();
        assert_eq!(error(""), "METAR: the station is absent; it is four letters such as ENTC");
        assert_eq!(error("METAR"), "METAR: the station is absent; it is four letters such as ENTC");
        assert_eq!(error("ENTC 322120Z"), "ENTC: its time is \"322120Z\", not a day and hour such as 152120Z");
        assert!(error(&"A".repeat(9000)).contains("too many"));
    }

    #[test]
    fn a_trend_does_not_leak_into_the_observation() {
        let metar = metar("METAR EHGR 151955Z AUTO 25006KT 9999 BKN370 20/15 Q1020 BLU 25008KT 9999 SCT050=");
        assert!(metar.conditions.sky.as_ref().unwrap().cover().low.unwrap().value() < f64::EPSILON);
        assert_eq!(metar.rest, "BLU 25008KT 9999 SCT050");
    }
}
