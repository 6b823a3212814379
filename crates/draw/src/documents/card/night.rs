//! Site, night, verdict and the hours to stand outside.

use job::{OutlookReport, Recommendation, WatchWindow, chance_words, leave_at};

use super::LONGEST_NAME;
use super::html::{block, paragraph, span};
use crate::documents::leaving::road_words;
use crate::documents::plain_text::{at_most, one_line};
use crate::local_time::{LocalClock, night_name};
use crate::svg::Element;

/// Windows shown.
const MOST_WINDOWS: usize = 3;
/// Characters of the verdict and of the keeper's notes.
const LONGEST_VERDICT: usize = 420;
const LONGEST_NOTES: usize = 160;

pub(super) fn header(report: &OutlookReport) -> Element {
    let site = &report.request.site;
    let position = site.position;
    let (ns, ew) =
        (if position.latitude_deg() < 0.0 { "S" } else { "N" }, if position.longitude_deg() < 0.0 { "W" } else { "E" });
    let place = format!("{:.4}° {ns}, {:.4}° {ew}", position.latitude_deg().abs(), position.longitude_deg().abs());
    let mut facts =
        vec![night_name(report.night.date), place, format!("times {}", one_line(&at_most(&site.time_zone, 40)))];
    let notes = at_most(&site.notes, LONGEST_NOTES);
    if !notes.is_empty() {
        facts.push(notes);
    }
    Element::new("header")
        .child(Element::new("h1").text(&at_most(&site.name, LONGEST_NAME)))
        .child(paragraph("facts", &facts.join(" · ")))
}

pub(super) fn verdict(report: &OutlookReport) -> Element {
    let advice = match report.verdict.recommendation {
        Recommendation::Go => "GO",
        Recommendation::Perhaps => "PERHAPS",
        Recommendation::Stay => "STAY",
        Recommendation::CannotTell => "CANNOT TELL",
    };
    block("verdict")
        .child(span("advice", advice))
        .child(paragraph("words", &at_most(&report.verdict.text, LONGEST_VERDICT)))
}

/// The best windows, each with its chances and when to leave for it.
pub(super) fn windows(report: &OutlookReport) -> Option<Element> {
    if report.windows.is_empty() {
        return None;
    }
    let shown = report.windows.iter().take(MOST_WINDOWS).map(|window| one(report, window));
    let more = report.windows.len().saturating_sub(MOST_WINDOWS);
    let left_out = (more > 0).then(|| paragraph("small", &format!("and {more} shorter or fainter")));
    Some(block("windows").children(shown).children(left_out))
}

fn one(report: &OutlookReport, window: &WatchWindow) -> Element {
    let site = &report.request.site;
    let clock = LocalClock::of(site);
    let chances = window.chances;
    let known = report.steps.iter().any(|step| step.at == window.best_at && step.clear_sightline.is_some());
    let hedge = if known { "" } else { ", if clouds hold" };
    block("window")
        .child(
            Element::new("p")
                .child(span("times", &format!("{} to {}", clock.time(window.from), clock.time(window.to))))
                .child(span("best", &format!("best {}", clock.time(window.best_at))))
                .child(span("leave", &format!("leave by {}", clock.time(leave_at(site, window))))),
        )
        .child(paragraph(
            "small",
            &format!(
                "Eye {}, colour {}, camera {}{hedge}. {}. {}.",
                chance_words(chances.eye_sees),
                chance_words(chances.eye_sees_colour),
                chance_words(chances.camera_records),
                at_most(&window.reason, 90),
                road_words(site)
            ),
        ))
}
