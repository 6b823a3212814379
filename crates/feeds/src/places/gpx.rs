//! GPX 1.0 and 1.1 (topografix.com): waypoints.

use roxmltree::Node;

use super::body::MOST_PLACES;
use super::collector::{Collector, Raw};
use super::found::{FoundPlaces, PlaceFormat};
use super::xml::{Xml, child, child_text, is};
use crate::row::{Fault, quote};
use crate::{FeedError, Place};

/// Reads the waypoints. Routes and tracks are counted and left alone: their points are a way, not places.
pub(super) fn parse(document: &Xml<'_>, source_name: &str) -> Result<FoundPlaces, FeedError> {
    let root = document.root();
    let mut collector = Collector::new(source_name, PlaceFormat::Gpx);
    if let Some(version) = root.attribute("version").filter(|version| !matches!(version.trim(), "1.0" | "1.1")) {
        let problem = format!("\"{}\" is neither 1.0 nor 1.1; read as 1.1", quote(version));
        collector.remark(document.line(root), Fault::new("version", problem));
    }
    for (index, waypoint) in root.children().filter(|node| is(*node, "wpt")).enumerate() {
        if index >= MOST_PLACES {
            let found = format!("it has more than {MOST_PLACES} waypoints");
            return Err(FeedError::PlacesBeyondLimit { source_name: source_name.to_owned(), found });
        }
        collector.take(document.line(waypoint), raw(waypoint), |_, _| ());
    }
    let count = |name| root.children().filter(|node| is(*node, name)).count();
    let (routes, tracks) = (count("rte"), count("trk"));
    let ways = format!("{routes} routes and {tracks} tracks");
    if routes + tracks > 0 {
        collector.remark(Place::Line(1), Fault::new("gpx", format!("{ways} are not read, only waypoints")));
    }
    collector.finish(&format!("{ways}, but no waypoint"))
}

fn raw(waypoint: Node<'_, '_>) -> Result<Raw, Fault> {
    let description = child_text(waypoint, "desc");
    let comment = child_text(waypoint, "cmt");
    let both = if comment.trim().is_empty() || comment.trim() == description.trim() {
        description
    } else if description.trim().is_empty() {
        comment
    } else {
        format!("{}\n{}", description.trim(), comment.trim())
    };
    Ok(Raw {
        name: child_text(waypoint, "name"),
        latitude_deg: coordinate(waypoint, "lat")?,
        longitude_deg: coordinate(waypoint, "lon")?,
        elevation_m: child(waypoint, "ele").map(|_| number("ele", &child_text(waypoint, "ele"))).transpose()?,
        description: both,
    })
}

fn coordinate(waypoint: Node<'_, '_>, name: &'static str) -> Result<f64, Fault> {
    let text = waypoint.attribute(name).ok_or_else(|| Fault::new(name, "it is missing"))?;
    number(name, text)
}

/// A decimal number of a file of places.
pub(super) fn number(field: &'static str, text: &str) -> Result<f64, Fault> {
    let text = text.trim();
    text.parse::<f64>().ok().filter(|number| number.is_finite()).ok_or_else(|| {
        let comma = if text.contains(',') { "; decimals need a point" } else { "" };
        Fault::new(field, format!("\"{}\" is not a decimal number{comma}", quote(text)))
    })
}
