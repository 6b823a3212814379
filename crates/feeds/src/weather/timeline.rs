//! Values that hold for stretches of time, each quantity with its own stretches, cut into common hours.

use job::WeatherHour;
use quantity::{Fraction, Timestamp};

/// Most hours made of one answer; a forecast of 16 days by the hour has 384.
const MOST_HOURS: usize = 2000;
/// A share may pass 1 by this much through packing in whole steps; it is then 1. Half a step of the coarsest packing
/// seen (8 bits over 0 to 100 %) is 0.002.
const SHARE_SLACK: f64 = 0.005;

/// What a value says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Item {
    CloudTotal,
    CloudLow,
    CloudMedium,
    CloudHigh,
    Fog,
    TemperatureC,
    DewPointC,
    WindMS,
    WindFromDeg,
    GustMS,
}

impl Item {
    pub(crate) const ALL: [Self; 10] = [
        Self::CloudTotal,
        Self::CloudLow,
        Self::CloudMedium,
        Self::CloudHigh,
        Self::Fog,
        Self::TemperatureC,
        Self::DewPointC,
        Self::WindMS,
        Self::WindFromDeg,
        Self::GustMS,
    ];

    /// What an atmosphere on Earth can show; the same limits as `job::Weather::check`.
    fn range(self) -> (f64, f64) {
        match self {
            Self::CloudTotal | Self::CloudLow | Self::CloudMedium | Self::CloudHigh | Self::Fog => {
                (-SHARE_SLACK, 1.0 + SHARE_SLACK)
            }
            Self::TemperatureC => (-95.0, 60.0),
            Self::DewPointC => (-100.0, 40.0),
            Self::WindMS => (0.0, 120.0),
            Self::WindFromDeg => (0.0, 360.0),
            Self::GustMS => (0.0, 150.0),
        }
    }

    /// Writes a value into an hour; `false` where no atmosphere has such a value, and nothing is written.
    pub(crate) fn set(self, hour: &mut WeatherHour, value: f64) -> bool {
        let (low, high) = self.range();
        if !(low..=high).contains(&value) {
            return false;
        }
        let share = Some(Fraction::clamped(value));
        match self {
            Self::CloudTotal => hour.cloud.total = share,
            Self::CloudLow => hour.cloud.low = share,
            Self::CloudMedium => hour.cloud.medium = share,
            Self::CloudHigh => hour.cloud.high = share,
            Self::Fog => hour.fog = share,
            Self::TemperatureC => hour.temperature_c = Some(value),
            Self::DewPointC => hour.dew_point_c = Some(value),
            Self::WindMS => hour.wind_m_s = Some(value),
            Self::WindFromDeg => hour.wind_from_deg = Some(value),
            Self::GustMS => hour.gust_m_s = Some(value),
        }
        true
    }
}

/// One value and how long it holds.
#[derive(Debug, Clone, Copy)]
struct Span {
    from: Timestamp,
    to: Timestamp,
    value: f64,
}

/// The values of one place.
#[derive(Debug, Clone, Default)]
pub(crate) struct Timeline {
    spans: [Vec<Span>; Item::ALL.len()],
    /// Values that no atmosphere has, left out.
    pub(crate) impossible: usize,
}

impl Timeline {
    /// Adds a value that holds from one instant to another.
    pub(crate) fn add(&mut self, item: Item, from: Timestamp, to: Timestamp, value: f64) {
        let (low, high) = item.range();
        if !(low..=high).contains(&value) {
            self.impossible += 1;
        } else if from < to {
            self.spans[item as usize].push(Span { from, to, value });
        }
    }

    /// The stretches between all instants at which anything changes; stretches of which nothing is known are gaps.
    ///
    /// Of two values for one instant the one that began later counts.
    pub(crate) fn hours(mut self) -> Vec<WeatherHour> {
        let mut edges: Vec<Timestamp> = self.spans.iter().flatten().flat_map(|span| [span.from, span.to]).collect();
        edges.sort_unstable();
        edges.dedup();
        edges.truncate(MOST_HOURS + 1);
        for spans in &mut self.spans {
            spans.sort_by_key(|span| span.from);
        }
        edges.windows(2).filter_map(|pair| self.hour(pair[0], pair[1])).collect()
    }

    fn hour(&self, from: Timestamp, to: Timestamp) -> Option<WeatherHour> {
        let mut hour = WeatherHour::unknown(from, to);
        let mut known = false;
        for item in Item::ALL {
            let spans = &self.spans[item as usize];
            let begun = spans.partition_point(|span| span.from <= from);
            if let Some(span) = spans[..begun].last().filter(|span| to <= span.to) {
                known |= item.set(&mut hour, span.value);
            }
        }
        known.then_some(hour)
    }
}

/// Words for the source line about values left out; empty where there are none.
pub(crate) fn impossible_words(count: usize) -> String {
    match count {
        0 => String::new(),
        1 => "; 1 impossible value left out".to_owned(),
        more => format!("; {more} impossible values left out"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(hour: i64) -> Timestamp {
        Timestamp::from_second(1_800_000_000 + hour * 3600).unwrap()
    }

    #[test]
    fn stretches_of_two_quantities_are_cut_where_either_changes() {
        let mut timeline = Timeline::default();
        timeline.add(Item::CloudTotal, at(0), at(6), 0.5);
        timeline.add(Item::TemperatureC, at(2), at(4), -5.0);
        timeline.add(Item::TemperatureC, at(8), at(9), -6.0);
        let hours = timeline.hours();
        let spans: Vec<_> = hours.iter().map(|hour| (hour.from, hour.to)).collect();
        assert_eq!(spans, [(at(0), at(2)), (at(2), at(4)), (at(4), at(6)), (at(8), at(9))]);
        assert_eq!(hours[0].temperature_c, None);
        assert_eq!(hours[1].temperature_c, Some(-5.0));
        assert_eq!(hours[2].cloud.total, Some(Fraction::clamped(0.5)));
        assert!(hours[3].cloud.is_unknown());
    }

    #[test]
    fn what_no_atmosphere_has_is_counted_and_left_out() {
        let mut timeline = Timeline::default();
        for bad in [1.2, -0.3, f64::NAN, f64::INFINITY] {
            timeline.add(Item::CloudLow, at(0), at(1), bad);
        }
        timeline.add(Item::CloudLow, at(1), at(2), 1.002);
        assert_eq!(timeline.impossible, 4);
        assert_eq!(timeline.hours()[0].cloud.low, Some(Fraction::clamped(1.0)));
    }
}
