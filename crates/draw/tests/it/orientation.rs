//! Where things land: bearings on the bowl, hours on the strip.

use draw::{BowlStyle, Palette, StripStyle, night_strip, sky_bowl};
use quantity::{Horizontal, Timestamp};

use crate::sample;

/// Coordinates are written to a tenth of a pixel, and a label may be off its mark by half of one.
const PLACE_PX: f64 = 0.6;

fn attribute(node: roxmltree::Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).and_then(|text| text.parse().ok()).unwrap()
}

/// Place of the text that reads exactly so; of several, all.
fn places(document: &roxmltree::Document<'_>, text: &str) -> Vec<(f64, f64)> {
    document
        .descendants()
        .filter(|n| n.has_tag_name("text") && n.text() == Some(text) && n.attribute("aria-hidden").is_none())
        .map(|n| (attribute(n, "x"), attribute(n, "y")))
        .collect()
}

#[test]
fn north_is_up_and_east_is_left() {
    let bowl = sky_bowl(&sample::normal().skymap(10.0, 3.0), &BowlStyle::new(600.0, Palette::Day));
    let document = roxmltree::Document::parse(&bowl).unwrap();
    let root = document.root_element();
    let (x, y) = (attribute(root, "data-center-x"), attribute(root, "data-center-y"));
    assert!(places(&document, "N")[0].1 < y && places(&document, "S")[0].1 > y);
    assert!(places(&document, "E")[0].0 < x && places(&document, "W")[0].0 > x);
}

#[test]
fn a_bright_spot_is_painted_at_its_bearing() {
    let mut report = sample::normal().skymap(10.0, 3.0);
    let across = report.azimuths_deg.len();
    let spot = Horizontal::new(30.0, 90.0);
    for (index, kr) in report.green_5577_kr.iter_mut().enumerate() {
        let here = Horizontal::new(report.altitudes_deg[index / across], report.azimuths_deg[index % across]);
        *kr = if here.separation_deg(spot) < 8.0 { 50.0 } else { 0.01 };
    }
    let bowl = sky_bowl(&report, &BowlStyle::new(600.0, Palette::Day));
    let document = roxmltree::Document::parse(&bowl).unwrap();
    let root = document.root_element();
    let radius = attribute(root, "data-radius");
    let label = places(&document, "10 kR")[0];
    // east is left: the label on its line lies left of the middle by two thirds of the radius, give or take the spot
    assert!((attribute(root, "data-center-x") - label.0 - radius * 60.0 / 90.0).abs() < radius * 14.0 / 90.0);
    assert!((attribute(root, "data-center-y") - label.1).abs() < radius * 14.0 / 90.0);
}

#[test]
fn hours_stand_where_the_local_clock_shows_them() {
    let report = sample::normal().outlook();
    let strip = night_strip(&report, &StripStyle::desk(Palette::Day));
    let document = roxmltree::Document::parse(&strip).unwrap();
    // midnight in Norway in March is 23:00 UTC
    let x = x_of(&document, "2026-03-14T23:00:00Z");
    let midnight = places(&document, "00:00");
    assert_eq!(midnight.len(), 1);
    assert!((midnight[0].0 - x).abs() < PLACE_PX, "{} {x}", midnight[0].0);
}

#[test]
fn the_hour_that_comes_twice_stands_twice_an_hour_apart() {
    let strip = night_strip(&sample::clock_change().outlook(), &StripStyle::desk(Palette::Day));
    let document = roxmltree::Document::parse(&strip).unwrap();
    let twice = places(&document, "02:00");
    assert_eq!(twice.len(), 2);
    for (place, at) in twice.iter().zip(["2026-10-25T00:00:00Z", "2026-10-25T01:00:00Z"]) {
        assert!((place.0 - x_of(&document, at)).abs() < PLACE_PX);
    }
    assert_eq!(places(&document, "clock back 60 min").len(), 1);
}

#[test]
fn a_polar_night_runs_from_noon_to_noon() {
    let report = sample::polar_night().outlook();
    let strip = night_strip(&report, &StripStyle::desk(Palette::Day));
    let document = roxmltree::Document::parse(&strip).unwrap();
    assert_eq!(document.root_element().attribute("data-from"), Some(report.night.from.to_string().as_str()));
    assert_eq!(document.root_element().attribute("data-to"), Some(report.night.to.to_string().as_str()));
}

/// What a page computes from the data attributes.
fn x_of(document: &roxmltree::Document<'_>, at: &str) -> f64 {
    let root = document.root_element();
    let time = |name: &str| root.attribute(name).unwrap().parse::<Timestamp>().unwrap().as_second() as f64;
    let (from, to) = (time("data-from"), time("data-to"));
    let at = at.parse::<Timestamp>().unwrap().as_second() as f64;
    let (left, right) = (attribute(root, "data-plot-left"), attribute(root, "data-plot-right"));
    left + (right - left) * (at - from) / (to - from)
}
