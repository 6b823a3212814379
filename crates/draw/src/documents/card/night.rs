//! Site, night, verdict and the hours to stand outside.

use job::{OutlookReport, Recommendation, WatchWindow, chance_words, leave_at};

use super::html::{block, paragraph, span};
use super::site_name;
use crate::documents::leaving::road_words;
use crate::documents::plain_text::{at_most, one_line};
use crate::local_time::{LocalClock, night_name};
use crate::svg::Element;

/// Windows shown.
const MOST_WINDOWS: usize = 2;
/// Characters of the verdict and of the keeper's notes.
const LONGEST_VERDICT: usize = 330;
const LONGEST_NOTES: usize = 64;

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
        .child(Element::new("h1").text(&site_name(report)))
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
    let last = report.windows.len().min(MOST_WINDOWS) - 1;
    let more = report.windows.len() - last - 1;
    let shown = report.windows.iter().take(MOST_WINDOWS).enumerate().map(|(index, window)| {
        let mut remark = remark(report, window);
        if index == 0 {
            remark = format!("{remark}; {}", road_words(&report.request.site));
        }
        if index == last && more > 0 {
            remark = format!("{remark}; and {more} more windows");
        }
        one(report, window, &format!("{remark}."))
    });
    Some(block("windows").children(shown))
}

fn one(report: &OutlookReport, window: &WatchWindow, remark: &str) -> Element {
    let site = &report.request.site;
    let clock = LocalClock::of(site);
    let times = block("hours")
        .child(span("times", &format!("{} to {}", clock.time(window.from), clock.time(window.to))))
        .child(span("best", &format!("best {}", clock.time(window.best_at))))
        .child(span("leave", &format!("leave by {}", clock.time(leave_at(site, window)))));
    block("window").child(times).child(paragraph("small", remark))
}

fn remark(report: &OutlookReport, window: &WatchWindow) -> String {
    let chances = window.chances;
    let known = report.steps.iter().any(|step| step.at == window.best_at && step.clear_sightline.is_some());
    let hedge = if known { "" } else { ", if clouds hold" };
    format!(
        "Eye {}, colour {}, camera {}{hedge}; {}",
        chance_words(chances.eye_sees),
        chance_words(chances.eye_sees_colour),
        chance_words(chances.camera_records),
        at_most(&window.reason, 80)
    )
}
