//! A TAF as hours: what prevails, with temporary and probable groups weighed in.

use job::{CloudCover, Weather, WeatherHour};
use quantity::{Fraction, Timestamp};

use super::conditions::Conditions;
use super::taf::{Taf, TafChange, TafGroup, TafState};
use crate::FeedError;

/// Share of its period that a TEMPO group is taken to hold: the code form allows less than half.
const TEMPORARY_SHARE: f64 = 0.5;

impl Taf {
    /// The forecast as hours, cut wherever one of its groups begins or ends.
    ///
    /// `FM` replaces everything; `BECMG` has come to pass at the end of its period, and during it the larger cloud of
    /// before and after counts. Where a temporary or probable group brings more cloud or fog, the cover expected from
    /// both is given: TEMPO counts half, `PROB30` three tenths, `PROB30 TEMPO` half of that. A group that brings less
    /// is not counted on. The strongest gust of all groups counts. These weights are the project's judgement.
    ///
    /// # Errors
    ///
    /// Withdrawn, or no forecast.
    pub fn to_weather(&self) -> Result<Weather, FeedError> {
        let empty = |problem: &str| FeedError::NoWeather {
            source_name: format!("the TAF of {}", self.station),
            what: problem.to_owned(),
        };
        if self.state == TafState::Cancelled {
            return Err(empty("forecast: it was withdrawn (CNL)"));
        }
        let (Some(from), Some(to), TafState::Forecast) = (self.from, self.to, self.state) else {
            return Err(empty("forecast (NIL)"));
        };
        let mut edges = vec![from, to];
        edges.extend(self.groups.iter().flat_map(|group| [group.from, group.to]));
        edges.retain(|edge| (from..=to).contains(edge));
        edges.sort_unstable();
        edges.dedup();
        Ok(Weather {
            source: format!("forecast for {} (TAF)", self.station),
            issued_at: self.issued_at,
            hours: edges.windows(2).map(|pair| self.stretch(pair[0], pair[1])).collect(),
            around: Vec::new(),
        })
    }

    fn stretch(&self, from: Timestamp, to: Timestamp) -> WeatherHour {
        let mut prevailing = Conditions::default();
        let mut coming: Vec<&TafGroup> = Vec::new();
        let mut passing: Vec<(&TafGroup, f64)> = Vec::new();
        for group in &self.groups {
            let holds = group.from <= from && to <= group.to;
            match group.change {
                TafChange::Prevailing => prevailing = group.conditions.clone(),
                TafChange::From if group.from <= from => {
                    prevailing = group.conditions.clone();
                    coming.clear();
                    passing.retain(|(passing, _)| passing.from >= group.from);
                }
                TafChange::Becoming if group.to <= from => prevailing.become_of(&group.conditions),
                TafChange::Becoming if holds => coming.push(group),
                TafChange::Temporary if holds => passing.push((group, TEMPORARY_SHARE)),
                TafChange::Probable { percent } if holds => passing.push((group, f64::from(percent) / 100.0)),
                TafChange::ProbableTemporary { percent } if holds => {
                    passing.push((group, TEMPORARY_SHARE * f64::from(percent) / 100.0));
                }
                TafChange::From
                | TafChange::Becoming
                | TafChange::Temporary
                | TafChange::Probable { .. }
                | TafChange::ProbableTemporary { .. } => {}
            }
        }
        let mut hour = WeatherHour::unknown(from, to);
        prevailing.apply(&mut hour);
        for group in coming {
            weigh(&mut hour, &group.conditions, 1.0);
        }
        for (group, weight) in passing {
            weigh(&mut hour, &group.conditions, weight);
        }
        hour
    }
}

impl Conditions {
    /// What is named replaces what was; the rest stays.
    fn become_of(&mut self, change: &Self) {
        if change.weather_ended || change.cavok || !change.weather.is_empty() {
            self.weather.clone_from(&change.weather);
            self.weather_ended = change.weather_ended;
        }
        self.cavok = change.cavok;
        self.wind = change.wind.or(self.wind);
        self.visibility = change.visibility.or(self.visibility);
        if change.sky.is_some() {
            self.sky.clone_from(&change.sky);
        }
    }
}

/// Adds what a group brings more than the hour has.
fn weigh(hour: &mut WeatherHour, conditions: &Conditions, weight: f64) {
    let mut other = WeatherHour::unknown(hour.from, hour.to);
    conditions.apply(&mut other);
    let more = |has: Option<Fraction>, brings: Option<Fraction>| match (has, brings) {
        (Some(has), Some(brings)) => {
            Some(Fraction::clamped(has.value() + weight * (brings.value() - has.value()).max(0.0)))
        }
        (None, Some(brings)) => Some(Fraction::clamped(weight * brings.value())).filter(|share| share.value() > 0.0),
        (has, None) => has,
    };
    hour.cloud = CloudCover {
        total: more(hour.cloud.total, other.cloud.total),
        low: more(hour.cloud.low, other.cloud.low),
        medium: more(hour.cloud.medium, other.cloud.medium),
        high: more(hour.cloud.high, other.cloud.high),
    };
    hour.fog = more(hour.fog, other.fog);
    let strongest = [hour.gust_m_s, other.gust_m_s].into_iter().flatten().reduce(f64::max);
    hour.gust_m_s = strongest;
}
