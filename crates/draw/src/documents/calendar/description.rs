//! What an event says.

use job::{OutlookReport, WatchWindow, age_words, leave_at};
use quantity::{InputNote, InputState};

use crate::documents::leaving::road_words;
use crate::label::{degrees_text, kr_text};
use crate::local_time::{LocalClock, night_name};

/// Verdict, this window, what to look for, when to leave, what it rests on, what to mind.
pub(super) fn description(report: &OutlookReport, window: &WatchWindow) -> String {
    let mut lines = vec![report.verdict.text.clone(), String::new()];
    lines.extend(plan(report, window));
    if !report.inputs.is_empty() {
        lines.extend([String::new(), format!("{} It rests on:", asked(report))]);
        lines.extend(report.inputs.iter().map(input));
    }
    if !report.cautions.is_empty() {
        lines.extend([String::new(), "Mind:".to_owned()]);
        lines.extend(report.cautions.iter().map(|caution| format!("- {} (ask: {})", caution.text, caution.defer_to)));
    }
    lines.join("\n")
}

fn plan(report: &OutlookReport, window: &WatchWindow) -> Vec<String> {
    let site = &report.request.site;
    let clock = LocalClock::of(site);
    let mut lines = vec![format!(
        "Window of the {}: {} to {} {}, best about {} ({}).",
        night_name(report.night.date),
        clock.time(window.from),
        clock.time(window.to),
        clock.zone_name(window.best_at),
        clock.time(window.best_at),
        window.reason
    )];
    let best = report.steps.iter().find(|step| step.at == window.best_at);
    if let Some(patch) = best.and_then(|step| step.brightest.as_ref()) {
        let arc = patch.brightest_arc_kr;
        lines.push(format!(
            "Look {} up, bearing {}: about {} kR ({} to {}), {}.",
            degrees_text(patch.direction.altitude_deg),
            degrees_text(patch.direction.azimuth_deg),
            kr_text(arc.value),
            kr_text(arc.low),
            kr_text(arc.high),
            patch.looks_like
        ));
    }
    lines.push(format!("Leave by {}: {}.", clock.time(leave_at(site, window)), road_words(site)));
    lines
}

fn asked(report: &OutlookReport) -> String {
    let clock = LocalClock::of(&report.request.site);
    let at = report.request.asked_at;
    format!("Asked {} {} {}.", clock.day(at), clock.time(at), clock.zone_name(at))
}

fn input(input: &InputNote) -> String {
    let age = input.age_minutes.map_or_else(String::new, |minutes| format!(", {}", age_words(minutes)));
    let stale = if input.state == InputState::Stale { ", stale" } else { "" };
    format!("- {}: {}{age}{stale}", input.name, input.source)
}
