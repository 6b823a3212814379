//! The windows of a night as events, iCalendar (RFC 5545).

mod content_line;
mod description;
mod uid;

use jiff::SignedDuration;
use job::{OutlookReport, Recommendation, Site, WatchWindow, chance_words, leave_at};
use quantity::Timestamp;

use self::content_line::ContentLines;
use self::uid::uid;
use super::DocumentError;
use super::leaving::road_words;

/// Length given to a window that begins and ends at once: one step of the outlook. An event must end after it starts (RFC 5545, 3.8.2.2).
const SHORTEST: SignedDuration = SignedDuration::from_mins(10);

/// The windows of an outlook as events with an alarm when it is time to leave.
///
/// Times are UTC, so that no table of time zones goes along; the words give the site's own clock. An event keeps its UID when the
/// outlook for the same site and night is exported again, and DTSTAMP is the moment of asking: a calendar program then replaces the
/// old one. A window that is gone is not taken out of the calendar.
///
/// # Errors
///
/// The outlook has no window.
///
/// # Source
///
/// RFC 5545 (2009): 3.1 content lines and folding, 3.3.11 text, 3.6.1 events, 3.6.6 alarms, 3.8.1.6 GEO.
pub fn calendar(report: &OutlookReport) -> Result<String, DocumentError> {
    let site = &report.request.site;
    if report.windows.is_empty() {
        return Err(DocumentError::NoWindow { site: site.name.clone(), night: report.request.night });
    }
    let mut lines = ContentLines::default();
    lines.plain("BEGIN", "VCALENDAR");
    lines.plain("VERSION", "2.0");
    lines.plain("PRODID", "-//Quietarc//Outlook//EN");
    lines.plain("CALSCALE", "GREGORIAN");
    for (index, window) in report.windows.iter().enumerate() {
        event(&mut lines, report, window, index);
    }
    lines.plain("END", "VCALENDAR");
    Ok(lines.into_text())
}

fn event(lines: &mut ContentLines, report: &OutlookReport, window: &WatchWindow, index: usize) {
    let site = &report.request.site;
    let ends = window.to.max(window.from.checked_add(SHORTEST).unwrap_or(window.to));
    lines.plain("BEGIN", "VEVENT");
    lines.plain("UID", &uid(site, report.request.night, index));
    lines.plain("DTSTAMP", &utc(report.request.asked_at));
    lines.plain("LAST-MODIFIED", &utc(report.request.asked_at));
    lines.plain("DTSTART", &utc(window.from));
    lines.plain("DTEND", &utc(ends));
    lines.text("SUMMARY", &summary(report, window));
    lines.text("DESCRIPTION", &description::description(report, window));
    lines.text("LOCATION", &site.name);
    let position = site.position;
    lines.plain("GEO", &format!("{:.6};{:.6}", position.latitude_deg(), position.longitude_deg()));
    // a chance, not an appointment
    lines.plain("STATUS", "TENTATIVE");
    lines.text("CATEGORIES", "Aurora");
    alarm(lines, site, window);
    lines.plain("END", "VEVENT");
}

fn alarm(lines: &mut ContentLines, site: &Site, window: &WatchWindow) {
    let minutes = (window.from.as_second() - leave_at(site, window).as_second()) / 60;
    lines.plain("BEGIN", "VALARM");
    lines.plain("ACTION", "DISPLAY");
    lines.plain("TRIGGER", &format!("-PT{minutes}M"));
    lines.text("DESCRIPTION", &format!("Time to leave for {}: {}.", site.name, road_words(site)));
    lines.plain("END", "VALARM");
}

fn summary(report: &OutlookReport, window: &WatchWindow) -> String {
    let advice = match report.verdict.recommendation {
        Recommendation::Go => "Aurora",
        Recommendation::Perhaps => "Aurora, perhaps",
        Recommendation::Stay => "Aurora, unlikely",
        Recommendation::CannotTell => "Aurora, cannot tell",
    };
    let hedge = if cloud_is_known(report, window) { "" } else { " if clouds hold" };
    let chances = window.chances;
    format!(
        "{advice}: {}, eye {}, camera {}{hedge}",
        report.request.site.name,
        chance_words(chances.eye_sees),
        chance_words(chances.camera_records)
    )
}

fn cloud_is_known(report: &OutlookReport, window: &WatchWindow) -> bool {
    report.steps.iter().any(|step| step.at == window.best_at && step.clear_sightline.is_some())
}

/// Form 2 of a date with time: `20260314T213000Z`. Whole seconds.
fn utc(at: Timestamp) -> String {
    at.strftime("%Y%m%dT%H%M%SZ").to_string()
}
