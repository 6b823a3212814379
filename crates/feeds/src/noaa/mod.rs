//! What NOAA publishes of the activity itself.
//!
//! | what | function |
//! |---|---|
//! | planetary K, 3 hours, estimates and forecast | [`parse_kp`](crate::parse_kp) |
//! | planetary K, minute by minute | [`parse_kp_minutes`] |
//! | hemispheric power | [`parse_hemispheric_power`] |
//! | precipitation grid of the next hour | [`parse_precipitation_grid`] |
//! | 3-day forecast, text | [`parse_three_day`] |
//! | 27-day outlook, text | [`parse_long_range`] |
//!
//! All of them are estimates and forecasts; the authority for Kp is GFZ.

mod hemispheric_power;
mod kp_minutes;
mod kp_table;
mod long_range;
mod precipitation_grid;
mod text_dates;
mod three_day;

pub use hemispheric_power::{HemisphericPower, PowerSample, parse_hemispheric_power};
pub use kp_minutes::{KpMinute, KpMinutes, RunningKp, parse_kp_minutes};
pub(crate) use kp_table::parse_json;
pub use long_range::{LongRangeOutlook, OutlookDay, parse_long_range};
pub use precipitation_grid::{GridPeak, Hemisphere, PrecipitationGrid, parse_precipitation_grid};
pub use three_day::{ThreeDayForecast, parse_three_day};
