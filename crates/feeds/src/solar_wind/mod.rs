//! The solar wind measured upstream of Earth, minute by minute, from every shape in which NOAA publishes it.
//!
//! | what | function | shapes |
//! |---|---|---|
//! | magnetic field | [`parse_field`] | objects of several spacecraft (`rtsw_mag_1m`), rows under a header (retired), ACE text |
//! | speed and density | [`parse_plasma`] | objects of several spacecraft (`rtsw_wind_1m`), rows under a header (retired), ACE text |
//! | both, with the time of arrival | [`parse_propagated`] | rows under a header (`propagated-solar-wind-1-hour`) |
//!
//! [`SolarWind::join`] puts field and plasma together and says when each sample arrives.
//!
//! Two spacecraft do not see the same parcel at the same minute, and their instruments differ: every sample keeps the
//! name of its spacecraft, and a change of spacecraft ([`SourceSwitch`]) and a gap ([`Gap`]) are facts to show, not to
//! draw a line across.
//!
//! **What it does not do:** nothing is interpolated or smoothed, and no activity is computed from it.

mod ace_text;
mod columns;
mod join;
mod measurements;
mod propagated;
mod sample;

pub use columns::{parse_field, parse_plasma};
pub use join::{SolarWind, ballistic_delay};
pub use measurements::{Gap, Measurements, RowCounts, SourceSwitch};
pub use propagated::parse_propagated;
pub use sample::{Arrival, FieldSample, PlasmaSample, Sample, SolarWindSample};
