//! What would change the verdict, with thresholds.

use jiff::tz::TimeZone;

use aurora::{BzNeeded, KP_FROM_NEWELL_SIGMA, bz_needed};

use super::{OutlookRequest, OutlookStep};
use crate::wording::{clock, kp};
use crate::{ActivityKind, NightTimes};

/// Cloud below which it no longer decides, share of the sky.
const CLOUD_MATTERS_FROM: f64 = 0.2;
/// Lit share from which moonlight matters.
const MOON_MATTERS_FROM: f64 = 0.25;

/// A middling wind, where none is measured: speed, km/s, and protons per cm³ (medians at L1 over a solar cycle, from
/// memory).
const USUAL_WIND: (f64, f64) = (400.0, 5.0);

pub(super) fn would_change(
    request: &OutlookRequest,
    night: &NightTimes,
    best: Option<&OutlookStep>,
    kp_needed_eye: Option<f64>,
    zone: &TimeZone,
) -> Vec<String> {
    let mut changes = Vec::new();
    let Some(step) = best else {
        changes.push("A Kp for the dark hours.".to_owned());
        return changes;
    };
    let expected = step.kp.map(|activity| activity.value);
    match (kp_needed_eye, expected) {
        (Some(needed), Some(now)) if needed > now => changes.push(format!(
            "Kp {} or more instead of {}: from there an eye has an even chance under a clear sky.",
            kp(needed),
            kp(now)
        )),
        (Some(needed), Some(now)) if needed > 0.0 => changes.push(format!(
            "Kp falling below {} (now {}): then the eye's chance drops under one half.",
            kp(needed),
            kp(now)
        )),
        _ => {}
    }
    if let (Some(needed), Some(now)) = (kp_needed_eye, expected) {
        changes.extend(southward(request, needed, now));
    }
    match step.weather.and_then(|hour| hour.cloud.overall()) {
        None => changes.push("A cloud forecast: nobody gave one.".to_owned()),
        Some(cover) if cover.value() >= CLOUD_MATTERS_FROM => {
            let low = step.brightest.as_ref().is_some_and(|patch| patch.direction.altitude_deg < 20.0);
            changes.push(format!(
                "Cloud breaking from {} tenths to under 2{}.",
                cover.in_ten(),
                if low { ", above all low down where the light stands" } else { "" }
            ));
        }
        Some(_) => {}
    }
    let moonlit = step.moon_altitude_deg > 0.0 && step.moon_lit_fraction >= MOON_MATTERS_FROM;
    if let Some(set) = night.moonset.filter(|set| moonlit && *set > step.at) {
        changes.push(format!("Moonset at {}: the sky darkens after it.", clock(set, zone)));
    }
    changes
}

/// The Bz that brings the Kp an eye needs, or takes it away; nothing where the activity is history.
fn southward(request: &OutlookRequest, needed: f64, now: f64) -> Option<String> {
    let open = |kind: ActivityKind| !matches!(kind, ActivityKind::Definitive | ActivityKind::Preliminary);
    request.activity.intervals.iter().find(|interval| open(interval.kind))?;
    let (speed, density, by_nt, wind) = match &request.upstream {
        Some(wind) => {
            let age_min = (request.asked_at.as_second() - wind.measured_at.as_second()) / 60;
            let words = format!(
                "the wind now upstream ({:.0} km/s, Bz {:+.0} nT {age_min} min ago, {})",
                wind.speed_km_s, wind.bz_nt, wind.source
            );
            (wind.speed_km_s, wind.density_cm3.unwrap_or(USUAL_WIND.1), wind.by_nt, words)
        }
        None => (USUAL_WIND.0, USUAL_WIND.1, 0.0, format!("a middling wind of {:.0} km/s", USUAL_WIND.0)),
    };
    let bz = |kp: f64| bz_needed(kp.clamp(0.0, 9.0), speed, density, by_nt);
    let BzNeeded::AtMost(middle) = bz(needed) else { return None };
    let end = |kp: f64| match bz(kp) {
        BzNeeded::AtMost(nt) => format!("{nt:+.0}"),
        BzNeeded::Any => "any".to_owned(),
        BzNeeded::OutOfReach => "out of reach".to_owned(),
    };
    let range = format!("{} to {}", end(needed - KP_FROM_NEWELL_SIGMA), end(needed + KP_FROM_NEWELL_SIGMA));
    Some(if needed > now {
        format!(
            "Bz at {middle:+.0} nT ({range}) or further south, held for three hours in {wind}, brings about that Kp. An estimate."
        )
    } else {
        format!(
            "Bz north of {middle:+.0} nT ({range}) for three hours in {wind} takes about that Kp away. An estimate."
        )
    })
}
