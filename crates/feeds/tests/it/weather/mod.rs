//! Weather of every service through the public face.

mod aviation;
mod grib;
mod services;
mod sniff;

use feeds::FeedError;
use job::{Weather, WeatherHour};
use quantity::Timestamp;

/// Shares are exact but for the last bits of a division.
pub(crate) const SHARE: f64 = 1e-9;

pub(crate) fn at(text: &str) -> Timestamp {
    text.parse().unwrap()
}

pub(crate) fn hour<'a>(weather: &'a Weather, text: &str) -> &'a WeatherHour {
    weather.at(at(text)).unwrap_or_else(|| panic!("no hour at {text}"))
}

pub(crate) fn near(value: Option<quantity::Fraction>, expected: f64) -> bool {
    value.is_some_and(|value| (value.value() - expected).abs() < SHARE)
}

/// Whatever comes in, a message is one line, not endless, and has a remedy.
pub(crate) fn check_message(error: &FeedError) {
    let message = error.to_string();
    assert!(!message.contains('\n') && !message.is_empty() && message.chars().count() < 300, "{message}");
    assert!(!error.hint().is_empty());
}

/// What every weather that was accepted keeps to, however its file was damaged.
pub(crate) fn check_weather(result: Result<Weather, FeedError>) {
    match result {
        Ok(weather) => {
            weather.check().unwrap();
            assert!(!weather.hours.is_empty() && !weather.source.is_empty());
        }
        Err(error) => check_message(&error),
    }
}
