//! GeoJSON (RFC 7946): features with a point.

use serde_json::{Map, Value};

use super::body::{MOST_PLACES, not_places};
use super::collector::{Collector, Raw};
use super::found::{FoundPlaces, PlaceFormat};
use super::own;
use crate::json::keys;
use crate::row::{Fault, quote};
use crate::{FeedError, Place, json};

/// Names of WGS 84, longitude first, in the `crs` member of the time before RFC 7946.
const WGS_84: [&str; 4] = ["CRS84", "EPSG:4326", "EPSG::4326", "CRS:84"];

/// Properties that hold the height above the sea, m, where the point itself has none.
const HEIGHTS: [&str; 3] = ["height_m", "elevation_m", "ele"];

/// Reads a collection of features, one feature, or a bare point.
pub(super) fn parse(text: &str, source_name: &str) -> Result<FoundPlaces, FeedError> {
    let Value::Object(root) = json::parse(text, source_name)? else {
        return Err(not_places(source_name, "it is no JSON object"));
    };
    check_reference_system(&root, source_name)?;
    let mut collector = Collector::new(source_name, PlaceFormat::GeoJson);
    match root.get("type").and_then(Value::as_str) {
        Some("FeatureCollection") => {
            let features = root.get("features").and_then(Value::as_array).ok_or_else(|| FeedError::BadField {
                source_name: source_name.to_owned(),
                key: "features".to_owned(),
                problem: "not a list",
            })?;
            if features.len() > MOST_PLACES {
                let found = format!("it has {} features, more than the {MOST_PLACES} read at most", features.len());
                return Err(FeedError::PlacesBeyondLimit { source_name: source_name.to_owned(), found });
            }
            let mut sightlines = 0;
            for (index, feature) in features.iter().enumerate() {
                if is_sightline(feature) {
                    sightlines += 1;
                } else {
                    take(&mut collector, Place::Entry(index + 1), feature);
                }
            }
            if sightlines > 0 {
                let problem = format!("{sightlines} lines of sight of an outlook are no places and are passed over");
                collector.remark(Place::Entry(1), Fault::new("features", problem));
            }
        }
        Some("Feature") => take(&mut collector, Place::Entry(1), &Value::Object(root)),
        Some("Point") => collector.take(Place::Entry(1), point(&root, &Map::new()), |_, _| ()),
        Some(other) => return Err(not_places(source_name, format!("it is a GeoJSON {}", quote(other)))),
        None => {
            return Err(not_places(source_name, format!("it is JSON without a GeoJSON `type`: {}", keys(root.keys()))));
        }
    }
    collector.finish("a collection without a feature")
}

/// Whether a feature is a line that this program writes beside the sites of an outlook.
fn is_sightline(feature: &Value) -> bool {
    let what = feature.pointer("/properties/what").and_then(Value::as_str).unwrap_or_default();
    what.starts_with("line of sight")
}

fn take(collector: &mut Collector, at: Place, feature: &Value) {
    let empty = Map::new();
    let properties = feature.get("properties").and_then(Value::as_object).unwrap_or(&empty);
    let raw = geometry(feature).and_then(|geometry| point(geometry, properties));
    collector.take(at, raw, |place, doubts| own::tell(place, properties, doubts));
}

fn geometry(feature: &Value) -> Result<&Map<String, Value>, Fault> {
    if feature.get("type").and_then(Value::as_str) != Some("Feature") {
        return Err(Fault::new("type", "it is not a Feature"));
    }
    match feature.get("geometry") {
        Some(Value::Object(geometry)) => Ok(geometry),
        None | Some(Value::Null) => Err(Fault::new("geometry", "it has none")),
        Some(_) => Err(Fault::new("geometry", "it is no object")),
    }
}

fn point(geometry: &Map<String, Value>, properties: &Map<String, Value>) -> Result<Raw, Fault> {
    match geometry.get("type").and_then(Value::as_str) {
        Some("Point") => {}
        Some(other) => return Err(Fault::new("geometry", format!("it is a {}, not a Point", quote(other)))),
        None => return Err(Fault::new("geometry", "its type is missing")),
    }
    let list = geometry.get("coordinates").and_then(Value::as_array);
    let list = list.ok_or_else(|| Fault::new("coordinates", "they are missing"))?;
    let number = |index: usize| match list.get(index) {
        None => Ok(None),
        Some(value) => value.as_f64().map(Some).ok_or_else(|| Fault::new("coordinates", "one of them is not a number")),
    };
    let missing = || Fault::new("coordinates", "longitude and latitude are wanted, in this order");
    let words = |names: [&str; 3]| names.into_iter().map(|name| text(properties, name)).find(|text| !text.is_empty());
    Ok(Raw {
        longitude_deg: number(0)?.ok_or_else(missing)?,
        latitude_deg: number(1)?.ok_or_else(missing)?,
        elevation_m: number(2)?.or_else(|| HEIGHTS.into_iter().find_map(|name| properties.get(name)?.as_f64())),
        name: words(["name", "title", "Name"]).unwrap_or_default(),
        description: words(["description", "desc", "comment"]).unwrap_or_default(),
    })
}

/// A property as text; numbers are names too ("12").
fn text(properties: &Map<String, Value>, name: &str) -> String {
    match properties.get(name) {
        Some(Value::String(text)) => text.trim().to_owned(),
        Some(Value::Number(number)) => number.to_string(),
        Some(Value::Null | Value::Bool(_) | Value::Array(_) | Value::Object(_)) | None => String::new(),
    }
}

fn check_reference_system(root: &Map<String, Value>, source_name: &str) -> Result<(), FeedError> {
    let Some(system) = root.get("crs").filter(|system| !system.is_null()) else { return Ok(()) };
    let name = system.pointer("/properties/name").and_then(Value::as_str).unwrap_or("a system without a name");
    if WGS_84.iter().any(|known| name.ends_with(known)) {
        return Ok(());
    }
    let short = name.rsplit("crs:").next().unwrap_or(name);
    Err(not_places(source_name, format!("its coordinates are in {}, not in WGS 84", quote(short))))
}
