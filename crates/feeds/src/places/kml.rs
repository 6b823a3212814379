//! KML 2.x (OGC 07-147): placemarks with a point.

use roxmltree::Node;

use super::body::MOST_PLACES;
use super::collector::{Collector, Raw};
use super::found::{FoundPlaces, PlaceFormat};
use super::gpx::number;
use super::xml::{Xml, all_text, child_text, is};
use crate::FeedError;
use crate::row::{Fault, quote};

/// Reads the placemarks, in folders of any depth. Links to other files are not followed.
pub(super) fn parse(document: &Xml<'_>, source_name: &str) -> Result<FoundPlaces, FeedError> {
    let mut collector = Collector::new(source_name, PlaceFormat::Kml);
    let mut placemarks = 0;
    for node in document.root().descendants() {
        if is(node, "NetworkLink") {
            let problem = "a link to another file is not followed; give that file too";
            collector.remark(document.line(node), Fault::new("NetworkLink", problem));
        }
        if !is(node, "Placemark") {
            continue;
        }
        placemarks += 1;
        if placemarks > MOST_PLACES {
            let found = format!("it has more than {MOST_PLACES} placemarks");
            return Err(FeedError::PlacesBeyondLimit { source_name: source_name.to_owned(), found });
        }
        collector.take(document.line(node), raw(node), |_, _| ());
    }
    collector.finish("no placemark")
}

fn raw(placemark: Node<'_, '_>) -> Result<Raw, Fault> {
    let point = only_point(placemark)?;
    let text = point.children().find(|node| is(*node, "coordinates")).map(all_text);
    let text = text.ok_or_else(|| Fault::new("coordinates", "they are missing"))?;
    let [longitude_deg, latitude_deg, altitude_m] = coordinates(&text)?;
    // heights are over the sea only in this mode; in the others the number is ignored or counted from the ground
    let is_over_the_sea = child_text(point, "altitudeMode").trim() == "absolute";
    Ok(Raw {
        name: child_text(placemark, "name"),
        latitude_deg: latitude_deg.ok_or_else(|| Fault::new("coordinates", "the latitude is missing"))?,
        longitude_deg: longitude_deg.ok_or_else(|| Fault::new("coordinates", "they are empty"))?,
        elevation_m: altitude_m.filter(|_| is_over_the_sea),
        description: child_text(placemark, "description"),
    })
}

/// The one point of a placemark; others of its geometries make it something else than a place.
fn only_point<'a, 'd>(placemark: Node<'a, 'd>) -> Result<Node<'a, 'd>, Fault> {
    const OTHERS: [&str; 6] = ["LineString", "LinearRing", "Polygon", "Model", "Track", "MultiTrack"];
    let geometry = |name: &'static str| placemark.descendants().filter(move |node| is(*node, name));
    if let Some(other) = OTHERS.into_iter().find(|name| geometry(name).next().is_some()) {
        return Err(Fault::new("geometry", format!("it is a {other}, not a point")));
    }
    let mut points = geometry("Point");
    match (points.next(), points.count()) {
        (Some(point), 0) => Ok(point),
        (Some(_), more) => Err(Fault::new("geometry", format!("it has {} points, not one", more + 1))),
        (None, _) => Err(Fault::new("geometry", "it has no point")),
    }
}

/// "15.65,69.15,3" as up to three numbers. Blanks after the commas are against the rules and common.
fn coordinates(text: &str) -> Result<[Option<f64>; 3], Fault> {
    let mut found = [None; 3];
    let text = text.trim().trim_end_matches(',');
    let separator = |c: char| c == ',' || c.is_whitespace();
    let parts = text.split(separator).map(str::trim).filter(|part| !part.is_empty());
    for (index, part) in parts.enumerate() {
        let Some(slot) = found.get_mut(index) else {
            return Err(Fault::new("coordinates", format!("\"{}\" are more than one point", quote(text))));
        };
        *slot = Some(number("coordinates", part)?);
    }
    Ok(found)
}
