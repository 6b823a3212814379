//! Sites as a file that can be read back whole.

use job::Site;
use serde_json::{Value, json};

/// Sites as GeoJSON (RFC 7946), one feature a line: the point with its height, and every other field as a property.
///
/// [`parse_places`](super::parse_places) gives the same sites back. A site whose numbers are not finite is left out: JSON
/// cannot hold them, and no checked site has them.
///
/// ```
/// let bay = job::Site::bare("Skerrow Bay", quantity::GeoPosition::new(69.15, 15.65, 3.0)?);
/// let text = feeds::places::to_geojson(std::slice::from_ref(&bay));
/// let found = feeds::places::parse_places(text.as_bytes(), "bay.geojson")?;
/// assert_eq!(found.places[0].to_site("UTC"), bay);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn to_geojson(sites: &[Site]) -> String {
    let features: Vec<String> = sites.iter().filter_map(feature).map(|feature| feature.to_string()).collect();
    format!("{{\"type\":\"FeatureCollection\",\"features\":[\n{}\n]}}\n", features.join(",\n"))
}

fn feature(site: &Site) -> Option<Value> {
    let Ok(Value::Object(mut properties)) = serde_json::to_value(site) else { return None };
    properties.remove("position");
    let position = site.position;
    Some(json!({
        "type": "Feature",
        "geometry": {
            "type": "Point",
            "coordinates": [position.longitude_deg(), position.latitude_deg(), position.height_m()],
        },
        "properties": properties,
    }))
}
