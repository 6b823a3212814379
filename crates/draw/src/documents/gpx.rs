//! The sites as waypoints, GPX 1.1.

use job::{OutlookReport, chance_words};

use super::instant::utc_text;
use super::place::{Place, advice, places};
use super::plain_text::one_line;
use crate::local_time::{LocalClock, night_name};
use crate::svg::Element;

/// The sites of an outlook as waypoints of a GPX 1.1 file, the one most worth going to first, with its rank, chances and window in
/// words.
///
/// # Source
///
/// GPX 1.1 schema, topografix.com/GPX/1/1: order of elements, `latitudeType`, `longitudeType` (below 180).
pub fn gpx(report: &OutlookReport) -> String {
    let night = night_name(report.night.date);
    let metadata = Element::new("metadata")
        .child(text("name", &format!("Sites for the {night}")))
        .child(text("desc", &report.verdict.text))
        .child(text("time", &utc_text(report.request.asked_at)));
    let root = Element::new("gpx")
        .with("xmlns", "http://www.topografix.com/GPX/1/1")
        .with("version", "1.1")
        .with("creator", "Quietarc")
        .child(metadata)
        .children(places(report).iter().map(|place| waypoint(place, report)));
    format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{}", root.render())
}

fn waypoint(place: &Place<'_>, report: &OutlookReport) -> Element {
    let position = place.site.position;
    Element::new("wpt")
        .with("lat", &format!("{:.6}", position.latitude_deg()))
        .with("lon", &longitude_text(position.longitude_deg()))
        .child(text("ele", &format!("{:.1}", position.height_m())))
        .child(text("name", &place.site.name))
        .child(text("desc", &description(place, report)))
        .child(text("type", "observing site"))
}

/// Six decimals, 0.1 m. The schema's longitudes stop short of 180, which rounding may reach.
fn longitude_text(longitude_deg: f64) -> String {
    let text = format!("{longitude_deg:.6}");
    if text == "180.000000" { format!("-{text}") } else { text }
}

fn description(place: &Place<'_>, report: &OutlookReport) -> String {
    let clock = LocalClock::of(place.site);
    let mut facts = Vec::new();
    facts.extend(place.rank_words().map(|rank| format!("Rank {rank}")));
    facts.push(format!("{}: {}", advice(place.recommendation), place.reason));
    facts.push(place.chances.map_or_else(
        || "chances not known".to_owned(),
        |chances| format!("eye {}, camera {}", chance_words(chances.eye_sees), chance_words(chances.camera_records)),
    ));
    facts.push(place.window.map_or_else(
        || "no good window".to_owned(),
        |window| {
            let (from, to) = (clock.time(window.from), clock.time(window.to));
            format!("best {from} to {to} {}", clock.zone_name(window.from))
        },
    ));
    facts.extend(place.site.drive_minutes.map(|minutes| format!("{minutes:.0} min on the road")));
    facts.push(format!("outlook of {} UTC", report.request.asked_at.strftime("%Y-%m-%d %H:%M")));
    facts.push("a waypoint says nothing of road, ground or owner".to_owned());
    format!("{}.", facts.join("; "))
}

fn text(name: &'static str, words: &str) -> Element {
    Element::new(name).text(&one_line(words))
}
