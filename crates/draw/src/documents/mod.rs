//! What a person takes along or hands on: the night as a sheet of paper, as a calendar, as places on a map.
//!
//! | document | format | function |
//! |---|---|---|
//! | field card, one printed page | HTML | [`field_card`] |
//! | calendar | iCalendar, RFC 5545 | [`calendar`](fn@calendar) |
//! | places for a receiver or a map on the phone | GPX 1.1 | [`gpx`](fn@gpx) |
//! | places and lines of sight for a map at the desk | GeoJSON, RFC 7946 | [`geojson`](fn@geojson) |
//!
//! Each is the same for the same report, byte for byte, and names no other host. Text that somebody typed (names of sites, of kits,
//! of sources) stays text: it is cleaned of control characters and escaped by the rules of its format.

mod calendar;
mod card;
mod error;
mod geojson;
mod gpx;
mod instant;
mod kind;
mod leaving;
mod place;
mod plain_text;

pub use calendar::calendar;
pub use card::field_card;
pub use error::DocumentError;
pub use geojson::geojson;
pub use gpx::gpx;
pub use kind::{DocumentKind, file_name};
