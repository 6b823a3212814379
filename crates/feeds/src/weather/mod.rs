//! Weather: forecasts and observations of several services, each read into [`job::Weather`].
//!
//! | what | function | cloud it gives |
//! |---|---|---|
//! | Locationforecast of MET Norway (JSON) | [`parse_locationforecast`] | total, low, medium, high, fog |
//! | grid forecast of the US National Weather Service (JSON) | [`parse_nws_gridpoints`] | total, fog in words |
//! | METAR and SPECI (code) | [`parse_metar`] | layers as far as they were seen, fog |
//! | TAF (code) | [`parse_taf`] | layers as far as they are named, fog |
//! | model fields (GRIB edition 2) | [`GribFile`], [`grib_weather`] | total, low, medium, high, at the site and around |
//! | any of these, told by content | [`weather_at`] | as above |
//! | listing of a GRIB file (`.idx`) | [`parse_grib_index`], [`weather_entries`] | which bytes to ask for |
//!
//! **What it does not do:** no network, no file, no clock. Where a service says nothing the field stays `None`: an
//! absent cloud group or a layer that an instrument cannot see is never read as clear.

mod aviation;
mod grib;
mod locationforecast;
mod nws;
mod sniff;
mod timeline;

use crate::body;

pub use aviation::{
    AviationReports, ClearWord, CloudAmount, CloudLayer, Conditions, Metar, MetarKind, Sky, Taf, TafChange, TafGroup,
    TafRevision, TafState, Visibility, VisibilityBound, Wind, parse_aviation_reports, parse_metar, parse_taf,
};
pub use grib::{
    GribField, GribFile, GribGrid, GribIndexEntry, GribMember, GribParameter, GribProcess, GribProduct, GribSurface,
    GribTime, grib_weather, parse_grib_index, places_around, weather_entries,
};
pub use locationforecast::parse_locationforecast;
pub use nws::{NwsGridPoint, parse_nws_gridpoints, parse_nws_points};
pub use sniff::weather_at;
