//! Sentences put together so that no number stands in them without its source.

use jiff::tz::TimeZone;
use quantity::{Estimate, Timestamp};

use super::{AccountNumber, AccountSentence};
use crate::JobError;

/// Parts that shares are said of.
const PARTS: f64 = 100.0;

/// A zone by its name.
pub(super) fn zone(name: &str) -> Result<TimeZone, JobError> {
    TimeZone::get(name).map_err(|_cause| JobError::UnknownTimeZone { name: name.to_owned() })
}

/// A sentence in the making.
pub(super) struct Saying(AccountSentence);

impl Saying {
    pub(super) fn new(id: &str) -> Self {
        Self(AccountSentence { id: id.to_owned(), text: String::new(), numbers: Vec::new() })
    }

    /// Words without a number.
    pub(super) fn text(mut self, words: &str) -> Self {
        self.0.text.push_str(words);
        self
    }

    /// A date, a time or a name with numbers in it.
    pub(super) fn word(self, words: &str, source: &str, at: Option<Timestamp>) -> Self {
        self.push(words.to_owned(), None, None, "", source, at)
    }

    /// A time of the clock.
    pub(super) fn time(self, at: Timestamp, zone: &TimeZone, source: &str) -> Self {
        let words = crate::wording::clock(at, zone);
        self.push(words, None, None, "", source, Some(at))
    }

    /// A number that the record has, in these words.
    pub(super) fn value(self, value: f64, words: &str, unit: &str, source: &str, at: Option<Timestamp>) -> Self {
        self.push(words.to_owned(), Some(value), None, unit, source, at)
    }

    /// An explanation, with where it is from.
    pub(super) fn because(self, words: &str, source: &str) -> Self {
        self.push(words.to_owned(), None, None, "", source, None)
    }

    /// A share of the light, said of a hundred parts: "85 (likely 70 to 93)".
    pub(super) fn parts(self, share: &Estimate, source: &str, at: Option<Timestamp>) -> Self {
        let [value, low, high] = [share.value, share.low, share.high].map(|share| format!("{:.0}", PARTS * share));
        let words = if low == high { value } else { format!("{value} (likely {low} to {high})") };
        self.push(words, Some(share.value), Some([share.low, share.high]), "share", source, at)
    }

    /// How many there are of something in the record.
    pub(super) fn count(self, count: usize, source: &str) -> Self {
        self.push(count.to_string(), Some(count as f64), None, "", source, None)
    }

    /// A number with its likely range: "12 (likely 8 to 17)".
    pub(super) fn estimate(self, estimate: &Estimate, unit: &str, source: &str, at: Option<Timestamp>) -> Self {
        let [value, low, high] = [estimate.value, estimate.low, estimate.high].map(rounded);
        let words = if low == high { value } else { format!("{value} (likely {low} to {high})") };
        self.push(words, Some(estimate.value), Some([estimate.low, estimate.high]), unit, source, at)
    }

    fn push(
        mut self,
        words: String,
        value: Option<f64>,
        range: Option<[f64; 2]>,
        unit: &str,
        source: &str,
        at: Option<Timestamp>,
    ) -> Self {
        self.0.text.push_str(&words);
        let (unit, source) = (unit.to_owned(), source.to_owned());
        self.0.numbers.push(AccountNumber { words, value, range, unit, source, at });
        self
    }

    pub(super) fn done(self) -> AccountSentence {
        self.0
    }
}

/// Two significant figures, as far as they are said aloud: "0.35", "3.1", "45", "320".
pub(super) fn rounded(value: f64) -> String {
    let size = value.abs();
    if size < 0.005 {
        return "0".to_owned();
    }
    if size < 0.995 {
        return format!("{value:.2}");
    }
    if size < 9.95 {
        return format!("{value:.1}");
    }
    let unit = 10f64.powf(size.log10().floor() - 1.0);
    format!("{:.0}", (value / unit).round() * unit)
}
