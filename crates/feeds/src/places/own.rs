//! The fields of a site as properties of a feature, as this program writes them.

use job::Site;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value};

use super::found::FoundPlace;
use super::words::clean_description;
use crate::row::Fault;

/// Puts the properties that are fields of a site into the place.
///
/// A property of that name in another form is a foreign one: it is left out, and said. A value in our form that is out of
/// range is refused by the site's own check.
pub(super) fn tell(place: &mut FoundPlace, properties: &Map<String, Value>, doubts: &mut Vec<Fault>) {
    let Site {
        name: _,
        position: _,
        time_zone,
        sky_quality,
        horizon,
        snow_cover,
        notes,
        water,
        foreground,
        drive_minutes,
    } = &mut place.site;
    place.names_zone = set(properties, "time_zone", time_zone, doubts);
    set(properties, "sky_quality", sky_quality, doubts);
    set(properties, "horizon", horizon, doubts);
    set(properties, "snow_cover", snow_cover, doubts);
    set(properties, "notes", notes, doubts);
    set(properties, "water", water, doubts);
    set(properties, "foreground", foreground, doubts);
    set(properties, "drive_minutes", drive_minutes, doubts);
    *notes = clean_description(notes);
    for object in foreground {
        object.name = super::words::clean_name(&object.name);
    }
}

/// Whether the property was there in our form.
fn set<T: DeserializeOwned>(
    properties: &Map<String, Value>,
    field: &'static str,
    into: &mut T,
    doubts: &mut Vec<Fault>,
) -> bool {
    let Some(value) = properties.get(field).filter(|value| !value.is_null()) else { return false };
    match serde_json::from_value(value.clone()) {
        Ok(read) => {
            *into = read;
            true
        }
        Err(error) => {
            let problem: String = error.to_string().chars().filter(|c| !c.is_control()).take(120).collect();
            doubts.push(Fault::new(field, format!("not in the form of a site's, left out: {problem}")));
            false
        }
    }
}
