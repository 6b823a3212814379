//! Chances in, advice out.

use jiff::tz::TimeZone;
use quantity::{Fraction, InputNote, InputState, Timestamp};

use super::{BrightestPatch, OutlookStep, Recommendation, SiteOutlook, Verdict, WatchWindow, inputs};
use crate::wording::{age_words, bearing, chance_words, clock, kilorayleighs, kp, lit_words};
use crate::{Activity, DarknessClass, Disagreement, NightTimes, OutlookRequest};

/// Chance for the eye from which the advice is to go.
const GO_EYE: f64 = 0.5;
/// Chance for the eye from which it is a perhaps.
const PERHAPS_EYE: f64 = 0.2;
/// Chance for the camera from which it is a perhaps.
const PERHAPS_CAMERA: f64 = 0.5;

/// What the verdict looks at.
pub(super) struct Findings<'a> {
    pub(super) request: &'a OutlookRequest,
    pub(super) inputs: &'a [InputNote],
    pub(super) night: &'a NightTimes,
    pub(super) best: Option<&'a OutlookStep>,
    pub(super) window: Option<&'a WatchWindow>,
    pub(super) kp_needed_eye: Option<f64>,
    pub(super) model_lat_deg: f64,
    pub(super) zone: &'a TimeZone,
    pub(super) ranking: &'a [SiteOutlook],
    pub(super) disagreements: &'a [Disagreement],
}

pub(super) fn verdict(findings: &Findings<'_>) -> Verdict {
    let recommendation = recommend(findings.night, findings.best);
    let mut text = text(findings, recommendation);
    if let Some(better) = clearly_better(findings) {
        text.push(' ');
        text.push_str(&better);
    }
    text.extend(findings.inputs.iter().filter_map(stale));
    Verdict { recommendation, text, reasons: reasons(findings) }
}

/// An input too old to lean on, as a sentence of the verdict.
fn stale(input: &InputNote) -> Option<String> {
    let age_minutes = input.age_minutes.filter(|_| input.state == InputState::Stale)?;
    let what = match input.name.as_str() {
        inputs::ACTIVITY => "the activity it rests on",
        inputs::WEATHER => "the weather it rests on",
        // second opinions decide nothing
        _ => return None,
    };
    Some(format!(" Mind: {what} is {}.", age_words(age_minutes)))
}

pub(super) fn recommend(night: &NightTimes, best: Option<&OutlookStep>) -> Recommendation {
    if too_bright(night) {
        return Recommendation::Stay;
    }
    let Some(chances) = best.and_then(|step| step.chances) else { return Recommendation::CannotTell };
    let (eye, camera) = (chances.eye_sees.value(), chances.camera_records.value());
    if eye >= GO_EYE {
        Recommendation::Go
    } else if eye >= PERHAPS_EYE || camera >= PERHAPS_CAMERA {
        Recommendation::Perhaps
    } else {
        Recommendation::Stay
    }
}

/// It never gets darker than civil twilight.
fn too_bright(night: &NightTimes) -> bool {
    night.darkest <= DarknessClass::Civil
}

fn text(findings: &Findings<'_>, recommendation: Recommendation) -> String {
    let site = &findings.request.site.name;
    match (recommendation, findings.best, findings.window) {
        (Recommendation::CannotTell, _, _) => format!(
            "Cannot tell for {site}: no activity is given for the dark hours. Give a Kp, or a table that reaches into this night."
        ),
        (_, _, _) if too_bright(findings.night) => {
            format!("Stay: it does not get dark at {site} this night.{}", polar_day(findings.night))
        }
        (Recommendation::Go | Recommendation::Perhaps, Some(step), Some(window)) => {
            let word = if recommendation == Recommendation::Go { "Worth going" } else { "Perhaps" };
            format!(
                "{word}: {site} from {} to {}, best about {}. {} {}",
                clock(window.from, findings.zone),
                clock(window.to, findings.zone),
                clock(window.best_at, findings.zone),
                chances_sentence(step),
                step.brightest.as_ref().map(look_sentence).unwrap_or_default()
            )
        }
        (_, Some(step), _) => {
            format!("Not tonight from {site}. {} {}", chances_sentence(step), needed_sentence(findings))
        }
        (_, None, _) => format!("Not tonight from {site}."),
    }
    .trim()
    .to_owned()
}

fn polar_day(night: &NightTimes) -> &'static str {
    if night.sun_state == crate::SunState::PolarDay { " The sun does not set." } else { "" }
}

fn chances_sentence(step: &OutlookStep) -> String {
    let Some(chances) = step.chances else { return String::new() };
    let cloud = match step.weather.and_then(|hour| hour.cloud.overall()) {
        None => ", if the sky is clear (no cloud given)".to_owned(),
        Some(cover) if cover.value() < 0.05 => String::new(),
        Some(cover) => format!(", with {} tenths of cloud", cover.in_ten()),
    };
    format!("Eye {}, camera {}{cloud}.", chance_words(chances.eye_sees), chance_words(chances.camera_records))
}

fn look_sentence(brightest: &BrightestPatch) -> String {
    let arc = &brightest.brightest_arc_kr;
    let place = if brightest.direction.altitude_deg >= 70.0 {
        "overhead".to_owned()
    } else {
        format!("{}, {:.0} degrees up", bearing(brightest.direction.azimuth_deg), brightest.direction.altitude_deg)
    };
    format!(
        "Look {place}: about {} ({} to {}), {}.",
        kilorayleighs(arc.value),
        kilorayleighs(arc.low),
        kilorayleighs(arc.high),
        brightest.looks_like
    )
}

fn needed_sentence(findings: &Findings<'_>) -> String {
    match findings.kp_needed_eye {
        Some(needed) => format!("An eye would have an even chance here from about Kp {}.", kp(needed)),
        None => "No Kp up to 9 would give an eye an even chance here in these conditions.".to_owned(),
    }
}

/// Reasons, most weighty first.
fn reasons(findings: &Findings<'_>) -> Vec<String> {
    let mut reasons = Vec::new();
    let Some(step) = findings.best else {
        reasons.push("No step of the night has both darkness and a Kp.".to_owned());
        return reasons;
    };
    if let Some(activity) = step.kp {
        reasons.push(format!(
            "Kp {} (+- {:.1}) from {}; an even chance for the eye here needs {}.",
            kp(activity.value),
            activity.high - activity.value,
            who_at(&findings.request.activity, step.at),
            findings
                .kp_needed_eye
                .map_or_else(|| "more than Kp 9".to_owned(), |needed| format!("about Kp {}", kp(needed)))
        ));
    }
    reasons.extend(findings.disagreements.iter().map(|found| found.sentence(findings.zone)));
    // what the verdict itself says is not said again
    if clearly_better(findings).is_none() {
        reasons.extend(better_elsewhere(findings));
    }
    reasons.push(darkness_reason(findings, step));
    reasons.push(moon_reason(findings, step));
    reasons.push(cloud_reason(step));
    reasons.push(format!(
        "The site lies at magnetic latitude {:.1}; at {} its magnetic local time is {}.",
        findings.model_lat_deg,
        clock(step.at, findings.zone),
        crate::wording::hours_and_minutes(step.mlt_h)
    ));
    reasons
}

/// How many times more another site must be worth to stand in the verdict itself.
const CLEARLY_BETTER: f64 = 1.2;

fn clearly_better(findings: &Findings<'_>) -> Option<String> {
    let first = findings.ranking.first()?;
    let here = findings.ranking.iter().find(|row| row.site.name == findings.request.site.name)?;
    let chances = first.chances.filter(|_| first.worth > CLEARLY_BETTER * here.worth)?;
    let road = first.site.drive_minutes.map_or_else(String::new, |minutes| format!(", {minutes:.0} min on the road"));
    Some(format!("Better: {}, eye {}{road}.", first.site.name, chance_words(chances.eye_sees)))
}

/// Another site that is worth more than the one asked about.
fn better_elsewhere(findings: &Findings<'_>) -> Option<String> {
    let first = findings.ranking.first()?;
    let here = &findings.request.site.name;
    if first.site.name == *here {
        return Some(format!(
            "Of {} sites compared this one is most worth going to: {}.",
            findings.ranking.len(),
            first.reason
        ));
    }
    Some(format!("{} is worth more tonight than {here}: {}.", first.site.name, first.reason))
}

/// Who gave the value of an instant: a series of several kinds names the one that counts then.
fn who_at(activity: &Activity, at: Timestamp) -> &str {
    match activity.at(at) {
        Some(interval) if !activity.has_one_kind() => interval.kind.words(),
        _ => who(&activity.source),
    }
}

/// Who gave a value, without licence and literature: those stand with the inputs.
fn who(source: &str) -> &str {
    source.split([',', ';', '(']).next().unwrap_or(source).trim()
}

fn darkness_reason(findings: &Findings<'_>, step: &OutlookStep) -> String {
    let sky = step.background_zenith_mag_arcsec2;
    let error = sky.high - sky.value;
    match (findings.night.astronomical_dusk, findings.night.astronomical_dawn) {
        (Some(dusk), Some(dawn)) => format!(
            "Dark from {} to {}; zenith sky {:.1} (+- {error:.1}) mag/arcsec2 at {}.",
            clock(dusk, findings.zone),
            clock(dawn, findings.zone),
            sky.value,
            clock(step.at, findings.zone)
        ),
        _ => format!(
            "Darkest class tonight: {}; zenith sky {:.1} (+- {error:.1}) mag/arcsec2 at {}.",
            darkness_words(findings.night.darkest),
            sky.value,
            clock(step.at, findings.zone)
        ),
    }
}

fn darkness_words(class: DarknessClass) -> &'static str {
    match class {
        DarknessClass::Day => "daylight",
        DarknessClass::Civil => "civil twilight",
        DarknessClass::Nautical => "nautical twilight",
        DarknessClass::Astronomical => "astronomical twilight",
        DarknessClass::Dark => "full darkness",
    }
}

fn moon_reason(findings: &Findings<'_>, step: &OutlookStep) -> String {
    let lit = lit_words(step.moon_lit_fraction);
    if step.moon_altitude_deg < 0.0 {
        return format!("Moon down at {} ({lit}).", clock(step.at, findings.zone));
    }
    let sets = findings.night.moonset.map(|at| format!(", sets {}", clock(at, findings.zone))).unwrap_or_default();
    format!("Moon {:.0} degrees up, {lit}{sets}.", step.moon_altitude_deg)
}

fn cloud_reason(step: &OutlookStep) -> String {
    match (step.weather, step.clear_sightline) {
        (Some(hour), Some(clear)) => format!(
            "{} leaves the line of sight open {} of the time.",
            capitalised(&crate::wording::cloud_words(&hour.cloud)),
            share_of_time(clear)
        ),
        _ => "Cloud is not known: every chance here holds for a clear sky.".to_owned(),
    }
}

fn capitalised(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn share_of_time(share: Fraction) -> String {
    match share.in_ten() {
        0 => "almost none".to_owned(),
        10 => "nearly all".to_owned(),
        tenths => format!("{tenths} tenths"),
    }
}
