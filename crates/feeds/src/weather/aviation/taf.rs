use quantity::Timestamp;
use serde::Serialize;

use super::conditions::Conditions;
use super::instant::{DayTime, digits};
use super::metar::{bad_report, station, take, tokens};
use crate::FeedError;
use crate::row::quote;

/// Most groups of change read; the longest real forecasts have 15.
const MOST_GROUPS: usize = 60;
/// Words after which there is no more forecast.
const ENDS: [&str; 4] = ["RMK", "AMD", "LAST", "AMDS"];

/// How a group changes the forecast.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TafChange {
    /// What prevails from the start.
    Prevailing,
    /// `FM`: everything is new from an instant on.
    From,
    /// `BECMG`: what is named changes during the period and stays.
    Becoming,
    /// `TEMPO`: for less than an hour at a time and less than half of the period.
    Temporary,
    /// `PROBnn`: with that probability.
    Probable {
        /// 30 or 40.
        percent: u8,
    },
    /// `PROBnn TEMPO`.
    ProbableTemporary {
        /// 30 or 40.
        percent: u8,
    },
}

/// One group of a forecast with its period.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TafGroup {
    /// How it changes the forecast.
    pub change: TafChange,
    /// Start.
    pub from: Timestamp,
    /// End; for `FM` the end of the forecast.
    pub to: Timestamp,
    /// What is named; the rest stays.
    pub conditions: Conditions,
}

/// Whether a forecast replaces an earlier one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TafRevision {
    /// The first for its period.
    Original,
    /// The weather took another way (`AMD`).
    Amended,
    /// A slip was mended (`COR`).
    Corrected,
}

/// Whether there is a forecast.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TafState {
    /// There is.
    Forecast,
    /// Withdrawn (`CNL`).
    Cancelled,
    /// None was made (`NIL`).
    Nil,
}

/// A forecast for an aerodrome.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Taf {
    /// ICAO location indicator.
    pub station: String,
    /// When it was issued; some services leave it out.
    pub issued_at: Option<Timestamp>,
    /// Start of its period; `None` only where there is no forecast.
    pub from: Option<Timestamp>,
    /// End of its period.
    pub to: Option<Timestamp>,
    /// Whether it replaces an earlier one.
    pub revision: TafRevision,
    /// Whether there is a forecast in it.
    pub state: TafState,
    /// The groups in order; the first prevails from the start.
    pub groups: Vec<TafGroup>,
    /// Groups that were not understood, in order.
    pub unread: Vec<String>,
}

/// Reads one TAF.
///
/// * `text`: the forecast, on one or several lines, with or without the word TAF and the final `=`.
/// * `reference`: when it was received; see [`parse_metar`](super::parse_metar). Its period is taken nearest to the
///   time of issue, or to the reference where that was left out; it may begin or end at hour 24 and cross a month.
///
/// # Errors
///
/// Too long, no station, or no period such as `1518/1618`.
pub fn parse_taf(text: &str, reference: Timestamp) -> Result<Taf, FeedError> {
    let mut tokens = tokens(text, "a TAF")?;
    let mut revision = take_revision(&mut tokens);
    let station = station(&mut tokens, "TAF")?;
    let issued_at = tokens.first().and_then(|token| DayTime::ddhhmm(token.strip_suffix('Z')?)?.before(reference));
    if issued_at.is_some() {
        tokens.remove(0);
    }
    if revision == TafRevision::Original {
        revision = take_revision(&mut tokens);
    }
    let mut taf = Taf {
        station,
        issued_at,
        from: None,
        to: None,
        revision,
        state: TafState::Forecast,
        groups: Vec::new(),
        unread: Vec::new(),
    };
    if take(&mut tokens, &["NIL"]).is_some() {
        taf.state = TafState::Nil;
        return Ok(taf);
    }
    let Some((from, to)) = tokens.first().and_then(|token| period(token, issued_at.unwrap_or(reference))) else {
        let expected = "a period such as 1518/1618";
        return Err(bad_report(&taf.station, "its period", tokens.first().copied(), expected));
    };
    (taf.from, taf.to) = (Some(from), Some(to));
    taf.body(&tokens[1..], from, to);
    Ok(taf)
}

/// Takes the words before the station, or after the time, that say what the forecast replaces.
fn take_revision(tokens: &mut Vec<&str>) -> TafRevision {
    let mut revision = TafRevision::Original;
    while let Some(word) = take(tokens, &["TAF", "AMD", "COR"]) {
        match word {
            "AMD" => revision = TafRevision::Amended,
            "COR" => revision = TafRevision::Corrected,
            _taf => {}
        }
    }
    revision
}

impl Taf {
    fn body(&mut self, tokens: &[&str], from: Timestamp, to: Timestamp) {
        let prevailing = TafGroup { change: TafChange::Prevailing, from, to, conditions: Conditions::default() };
        self.groups.push(prevailing);
        let mut at = 0;
        while let Some(token) = tokens.get(at).filter(|token| !ENDS.contains(token)) {
            if let Some((group, used)) = change(&tokens[at..], from, to) {
                if self.groups.len() >= MOST_GROUPS {
                    self.unread.push(quote(token));
                    return;
                }
                self.groups.push(group);
                at += used;
                continue;
            }
            match *token {
                "CNL" => self.state = TafState::Cancelled,
                "NIL" => self.state = TafState::Nil,
                token if is_skipped(token) => {}
                token => self.group(token, at.checked_sub(1).map(|before| tokens[before]), tokens.get(at + 1).copied()),
            }
            at += 1;
        }
    }

    fn group(&mut self, token: &str, before: Option<&str>, after: Option<&str>) {
        let read = self.groups.last_mut().is_some_and(|group| group.conditions.read(token, before, after));
        if !read {
            self.unread.push(quote(token));
        }
    }
}

/// A group of change at the start of these tokens, and how many tokens its head has.
fn change(tokens: &[&str], start: Timestamp, end: Timestamp) -> Option<(TafGroup, usize)> {
    let group = |change, from, to| TafGroup { change, from, to, conditions: Conditions::default() };
    let first = *tokens.first()?;
    if let Some(time) = first.strip_prefix("FM") {
        let time = if time.len() == 4 { DayTime::ddhh(time)? } else { DayTime::ddhhmm(time)? };
        let from = time.near(start)?;
        return (from < end).then(|| (group(TafChange::From, from.max(start), end), 1));
    }
    let timed = |change, used: usize| {
        let (from, to) = period(tokens.get(used)?, start)?;
        Some((group(change, from, to), used + 1))
    };
    let percent = || first.strip_prefix("PROB").filter(|percent| percent.len() == 2).and_then(digits::<u8>);
    match first {
        "BECMG" => timed(TafChange::Becoming, 1),
        "TEMPO" | "INTER" => timed(TafChange::Temporary, 1),
        _prob => {
            let percent = percent()?;
            if tokens.get(1) == Some(&"TEMPO") {
                return timed(TafChange::ProbableTemporary { percent }, 2);
            }
            timed(TafChange::Probable { percent }, 1)
        }
    }
}

/// `3124/0106`: start nearest to an instant, end after it.
fn period(text: &str, near: Timestamp) -> Option<(Timestamp, Timestamp)> {
    let (from, to) = text.split_once('/')?;
    let from = DayTime::ddhh(from)?.near(near)?;
    let to = DayTime::ddhh(to)?.near(from)?;
    (from < to).then_some((from, to))
}

/// Turbulence, icing, wind shear, pressure, extremes of temperature.
fn is_skipped(token: &str) -> bool {
    let coded = token.len() == 6 && matches!(token.as_bytes()[0], b'5' | b'6') && digits::<u32>(token).is_some();
    let extreme = token.strip_prefix('T').is_some_and(|rest| rest.contains('/') && rest.ends_with('Z'));
    let shear = token.strip_prefix("WS").is_some_and(|rest| rest.contains('/') && rest.ends_with("KT"));
    coded || extreme || shear || token.starts_with("QNH") || (token.ends_with("INS") && token.len() == 7)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn taf(text: &str, reference: &str) -> Taf {
        parse_taf(text, reference.parse().unwrap()).unwrap()
    }

    #[test]
    fn a_period_from_hour_24_crosses_the_month() {
        let taf = taf("TAF BIRK 312300Z 3124/0106 09020KT 9999 BKN040", "2026-12-31T23:10:00Z");
        assert_eq!(taf.from.unwrap().to_string(), "2027-01-01T00:00:00Z");
        assert_eq!(taf.to.unwrap().to_string(), "2027-01-01T06:00:00Z");
    }

    #[test]
    fn every_kind_of_change_has_its_period() {
        let text = "TAF ENTC 151700Z 1518/1618 21015KT 9999 SCT030 BKN060 TEMPO 1518/1524 4000 -SHSN BKN012 \
                    BECMG 1600/1602 16008KT NSC PROB40 TEMPO 1606/1612 1500 SN VV008 FM161330 VRB03KT CAVOK \
                    PROB30 1614/1616 0500 FG";
        let taf = taf(text, "2026-11-15T17:05:00Z");
        assert!(taf.unread.is_empty(), "{:?}", taf.unread);
        let changes: Vec<TafChange> = taf.groups.iter().map(|group| group.change).collect();
        assert_eq!(
            changes,
            [
                TafChange::Prevailing,
                TafChange::Temporary,
                TafChange::Becoming,
                TafChange::ProbableTemporary { percent: 40 },
                TafChange::From,
                TafChange::Probable { percent: 30 },
            ]
        );
        assert_eq!(taf.groups[1].to.to_string(), "2026-11-16T00:00:00Z");
        assert_eq!(taf.groups[4].from.to_string(), "2026-11-16T13:30:00Z");
    }

    #[test]
    fn no_forecast_is_told_from_a_bad_one() {
        assert!(taf("TAF ENSB 151700Z 1518/1524 CNL", "2026-11-15T17:00:00Z").state == TafState::Cancelled);
        assert!(taf("TAF ESSD 142000Z NIL=", "2026-11-15T17:00:00Z").state == TafState::Nil);
        assert!(taf("TAF AMD KNKT 1315/1415 02028G48KT", "2026-11-13T15:00:00Z").revision == TafRevision::Amended);
        let error = parse_taf("TAF ENTC 151700Z 21015KT", Timestamp::UNIX_EPOCH).unwrap_err();
        assert_eq!(error.to_string(), "ENTC: its period is \"21015KT\", not a period such as 1518/1618");
    }
}
