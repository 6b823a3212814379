//! The sites compared, best first.

use job::{OutlookReport, chance_words};

use super::LONGEST_NAME;
use super::html::{block, head_row, heading, paragraph, row};
use crate::documents::place::{Place, advice, places};
use crate::documents::plain_text::at_most;
use crate::local_time::LocalClock;
use crate::svg::Element;

/// Rows shown.
const MOST_ROWS: usize = 5;

pub(super) fn table(report: &OutlookReport) -> Option<Element> {
    if report.ranking.is_empty() {
        return None;
    }
    let all = places(report);
    let asked = &report.request.site.name;
    let is_asked = |place: &&Place<'_>| place.site.name == *asked;
    let mut shown: Vec<&Place<'_>> = all.iter().take(MOST_ROWS).collect();
    if !shown.iter().any(is_asked) {
        // the site of this card is on it whatever its rank
        shown.pop();
        shown.extend(all.iter().find(is_asked));
    }
    let left_out = all.len() - shown.len();
    let head =
        Element::new("thead").child(head_row(&["", "Site", "Advice", "Best window", "Road", "Eye", "Camera", "Why"]));
    let body = Element::new("tbody").children(shown.into_iter().map(|place| {
        let line = cells(place);
        let line = row(&line.each_ref().map(String::as_str));
        if place.site.name == *asked { line.with("class", "asked") } else { line }
    }));
    let more = (left_out > 0).then(|| paragraph("small", &format!("and {left_out} more sites")));
    Some(
        block("sites")
            .child(heading("Sites, best first, the road counted"))
            .child(Element::new("table").child(head).child(body))
            .children(more),
    )
}

fn cells(place: &Place<'_>) -> [String; 8] {
    let clock = LocalClock::of(place.site);
    let window = place.window.map_or_else(
        || "none".to_owned(),
        |window| format!("{} to {}", clock.time(window.from), clock.time(window.to)),
    );
    let road = place.site.drive_minutes.map_or_else(|| "not known".to_owned(), |minutes| format!("{minutes:.0} min"));
    let (eye, camera) = place.chances.map_or_else(
        || ("not known".to_owned(), "not known".to_owned()),
        |chances| (chance_words(chances.eye_sees), chance_words(chances.camera_records)),
    );
    [
        place.rank.map_or_else(String::new, |(rank, _)| rank.to_string()),
        at_most(&place.site.name, LONGEST_NAME.min(32)),
        advice(place.recommendation).to_owned(),
        window,
        road,
        eye,
        camera,
        at_most(place.reason, 44),
    ]
}
