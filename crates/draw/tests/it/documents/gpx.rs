//! Waypoints read back as XML and held against the GPX 1.1 schema.

use draw::documents::gpx;
use proptest::prelude::*;
use quantity::GeoPosition;
use roxmltree::{Document, Node};

use super::{compared, names};

const NAMESPACE: &str = "http://www.topografix.com/GPX/1/1";
/// `wptType` and `metadataType` of the GPX 1.1 schema: children in this order, each at most once (links may repeat).
const WAYPOINT: [&str; 20] = [
    "ele",
    "time",
    "magvar",
    "geoidheight",
    "name",
    "cmt",
    "desc",
    "src",
    "link",
    "sym",
    "type",
    "fix",
    "sat",
    "hdop",
    "vdop",
    "pdop",
    "ageofdgpsdata",
    "dgpsid",
    "extensions",
    "",
];
const METADATA: [&str; 9] = ["name", "desc", "author", "copyright", "link", "time", "keywords", "bounds", "extensions"];

fn children<'a, 'input>(node: Node<'a, 'input>) -> Vec<Node<'a, 'input>> {
    node.children().filter(Node::is_element).collect()
}

/// What the schema asks: namespace, version, order of children, ranges of coordinates, types of values.
fn valid(text: &str) -> Result<Document<'_>, String> {
    let document = Document::parse(text).map_err(|error| error.to_string())?;
    let root = document.root_element();
    if !root.has_tag_name((NAMESPACE, "gpx")) || root.attribute("version") != Some("1.1") {
        return Err("no gpx 1.1".to_owned());
    }
    root.attribute("creator").ok_or("no creator")?;
    let mut seen_waypoint = false;
    for child in children(root) {
        let order: &[&str] = match child.tag_name().name() {
            "metadata" if !seen_waypoint => &METADATA,
            "wpt" => &WAYPOINT,
            other => return Err(format!("<{other}> has no place here")),
        };
        seen_waypoint |= child.has_tag_name("wpt");
        let places: Vec<usize> = children(child)
            .iter()
            .map(|node| order.iter().position(|name| *name == node.tag_name().name()).ok_or("an element of no type"))
            .collect::<Result<_, _>>()?;
        if !places.windows(2).all(|pair| pair[0] < pair[1]) {
            return Err(format!("{places:?} is out of order"));
        }
        if child.has_tag_name((NAMESPACE, "wpt")) {
            let number = |name: &str| child.attribute(name).and_then(|text| text.parse::<f64>().ok());
            let (lat, lon) = (number("lat").ok_or("no lat")?, number("lon").ok_or("no lon")?);
            if !(-90.0..=90.0).contains(&lat) || !(-180.0..180.0).contains(&lon) {
                return Err(format!("{lat}, {lon} is no place"));
            }
            seen_waypoint = true;
        }
    }
    Ok(document)
}

fn text_of<'a>(node: Node<'a, '_>, name: &str) -> &'a str {
    node.children().find(|child| child.tag_name().name() == name).and_then(|child| child.text()).unwrap_or_default()
}

#[test]
fn sites_are_waypoints_in_their_order_with_rank_and_window() {
    let text = gpx(&compared());
    let document = valid(&text).unwrap();
    let waypoints: Vec<_> = document.descendants().filter(|node| node.has_tag_name((NAMESPACE, "wpt"))).collect();
    let names: Vec<&str> = waypoints.iter().map(|node| text_of(*node, "name")).collect();
    assert_eq!(names, ["Marrow Head", "Skerrow Bay", "Ternholm Lake"]);
    assert!(text_of(waypoints[0], "desc").starts_with("Rank 1 of 3; go: the clearest line of sight; eye 4 in 10"));
    assert!(text_of(waypoints[0], "desc").contains("45 min on the road"));
    assert!(text_of(waypoints[2], "desc").contains("no good window"));
    assert_eq!(text_of(waypoints[1], "ele").parse::<f64>().unwrap().to_string(), "5");
    let metadata = document.descendants().find(|node| node.has_tag_name((NAMESPACE, "metadata"))).unwrap();
    assert_eq!(text_of(metadata, "time"), compared().request.asked_at.to_string());
}

#[test]
fn one_site_alone_has_no_rank() {
    let text = gpx(&crate::sample::southern().outlook());
    let document = valid(&text).unwrap();
    let waypoint = document.descendants().find(|node| node.has_tag_name((NAMESPACE, "wpt"))).unwrap();
    assert_eq!(waypoint.attribute("lat"), Some("-46.600000"));
    assert!(!text_of(waypoint, "desc").contains("Rank"));
}

#[test]
fn the_date_line_is_written_as_the_schema_wants_it() {
    for longitude_deg in [180.0, 179.999_999_8, -180.0] {
        let mut report = crate::sample::normal().outlook();
        report.request.site.position = GeoPosition::new(-77.0, longitude_deg, 0.0).unwrap();
        valid(&gpx(&report)).unwrap();
    }
}

proptest! {
    #[test]
    fn any_name_stays_a_name(name in ".{0,120}") {
        let mut report = compared();
        report.ranking[1].site.name.clone_from(&name);
        report.verdict.text = format!("Perhaps {name}");
        let text = gpx(&report);
        let document = valid(&text).map_err(TestCaseError::fail)?;
        let second = document.descendants().filter(|node| node.has_tag_name((NAMESPACE, "wpt"))).nth(1).unwrap();
        prop_assert_eq!(text_of(second, "name"), names::as_shown(&name));
    }
}
