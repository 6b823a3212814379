//! The sites compared, best first.

use job::{OutlookReport, chance_words};

use super::html::{block, head_row, heading};
use crate::documents::place::{Place, advice, places};
use crate::documents::plain_text::at_most;
use crate::local_time::LocalClock;
use crate::svg::Element;

/// Rows shown.
const MOST_ROWS: usize = 5;
/// Characters of a name and of a reason: together with the other columns one line of the page.
const LONGEST_SITE: usize = 28;
const LONGEST_REASON: usize = 34;
const COLUMNS: [&str; 8] = ["No.", "Site", "Advice", "Best window", "Road", "Eye", "Camera", "Why"];

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
    let title = if shown.len() < all.len() {
        format!("Sites, the best {} of {}, the road counted", shown.len(), all.len())
    } else {
        "Sites, best first, the road counted".to_owned()
    };
    let head = Element::new("thead").child(head_row(&COLUMNS));
    let body = Element::new("tbody").children(shown.into_iter().map(|place| {
        let line = row(place);
        if place.site.name == *asked { line.with("class", "asked") } else { line }
    }));
    Some(block("sites").child(heading(&title)).child(Element::new("table").child(head).child(body)))
}

/// A row whose cells carry the name of their column, for screens too narrow for columns.
fn row(place: &Place<'_>) -> Element {
    let cells = cells(place).into_iter().zip(COLUMNS).enumerate().map(|(index, (words, column))| {
        let element = if index == 1 { Element::new("th").with("scope", "row") } else { Element::new("td") };
        element.with("data-column", column).text(if words.is_empty() { "-" } else { &words })
    });
    Element::new("tr").children(cells)
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
        place.rank.map_or_else(|| "-".to_owned(), |(rank, _)| rank.to_string()),
        at_most(&place.site.name, LONGEST_SITE),
        advice(place.recommendation).to_owned(),
        window,
        road,
        eye,
        camera,
        at_most(place.reason, LONGEST_REASON),
    ]
}
