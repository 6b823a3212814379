//! Weather: forecasts and observations of several services, each read into [`job::Weather`].
//!
//! | what | function | cloud it gives |
//! |---|---|---|
//! | Locationforecast of MET Norway (JSON) | [`parse_locationforecast`] | total, low, medium, high, fog |
//! | grid forecast of the US National Weather Service (JSON) | [`parse_nws_gridpoints`] | total, fog in words |
//!
//! **What it does not do:** no network, no file, no clock. Where a service says nothing the field stays `None`: an
//! absent cloud group or a layer that an instrument cannot see is never read as clear.

mod body;
mod locationforecast;
mod nws;
mod timeline;

pub use locationforecast::parse_locationforecast;
pub use nws::{NwsGridPoint, parse_nws_gridpoints, parse_nws_points};
