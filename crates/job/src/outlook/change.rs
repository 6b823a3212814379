//! What would change the verdict, with thresholds.

use jiff::tz::TimeZone;

use super::OutlookStep;
use crate::NightTimes;
use crate::wording::{clock, kp};

/// Cloud below which it no longer decides, share of the sky.
const CLOUD_MATTERS_FROM: f64 = 0.2;
/// Lit share from which moonlight matters.
const MOON_MATTERS_FROM: f64 = 0.25;

pub(super) fn would_change(
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
