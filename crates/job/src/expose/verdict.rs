//! The answer in words, and what this kit cannot do.

use super::judge::{about_seconds, figures};
use super::ladder::seconds_text;
use super::lapse::ASSUMED_TEMPERATURE_C;
use super::plan::{GOOD_SNR, kit_highest_iso, kit_longest_s, wished_s};
use super::report::{ExposeSetting, ExposedLight};
use super::request::ExposeRequest;
use super::scene::Scene;
use crate::wording::kilorayleighs;

/// Signal over noise, as looked at, below which a picture is hardly one (the outlook's own bound).
const RECORDED_SNR: f64 = crate::outlook::detector::RECORDED_SNR;
/// Sky over aurora from which contrast is the trouble, not noise (judgement).
const DROWNED: f64 = 4.0;
/// A kit that stops at this share of the wished time is said to hold it down.
const HELD_DOWN: f64 = 0.6;
/// Lithium plating sets in when charged below this, degrees Celsius (the trade's advice).
const NO_CHARGING_BELOW_C: f64 = 0.0;
/// Most frames it is sensible to average by hand.
const MOST_AVERAGED: f64 = 2000.0;

/// "15 s, f/1.8, ISO 3200 for 3 kR, IBC I-II ...".
pub(super) fn summary(light: &ExposedLight, best: &ExposeSetting) -> String {
    let noise = match best.snr_screen.value {
        snr if snr < RECORDED_SNR => "Very noisy",
        snr if snr < GOOD_SNR * 0.97 => "Noisy",
        _ => "Clean",
    };
    format!(
        "{} for {} ({}). {noise} on a screen (signal {} times the noise); {}.",
        best.dial,
        kilorayleighs(light.green_5577_kr.value),
        light.looks_like,
        figures(best.snr_screen.value),
        best.limit_text
    )
}

/// What this kit cannot do here, most weighty first.
pub(super) fn warnings(
    request: &ExposeRequest,
    scene: &Scene,
    light: &ExposedLight,
    settings: &[ExposeSetting],
) -> Vec<String> {
    let Some(best) = settings.first() else { return Vec::new() };
    let mut found = Vec::new();
    found.extend(too_short(scene, best));
    found.extend(too_faint(scene, best));
    found.extend(iso_limit(scene, best));
    found.extend(clipping(best));
    let drowned = light.sky_as_green_kr / light.green_5577_kr.value.max(1e-9);
    if drowned > DROWNED {
        found.push(format!(
            "The sky is {} times as bright as the aurora to the camera: contrast is low whatever the settings; wait for the moon or twilight to go, or look away from the town.",
            figures(drowned)
        ));
    }
    found.extend(lapse_warnings(request, best));
    found
}

fn too_short(scene: &Scene, best: &ExposeSetting) -> Option<String> {
    let longest_s = scene.limits.longest_exposure_s?;
    let wished_s = wished_s(scene, best.f_number);
    let held = longest_s < HELD_DOWN * wished_s && best.exposure_s > 0.9 * kit_longest_s(scene);
    held.then(|| {
        format!(
            "This camera stops at {}; the light asks for {}. Use its night or astro mode on something that does not move, or average many frames.",
            seconds_text(longest_s),
            about_seconds(wished_s.min(600.0))
        )
    })
}

fn too_faint(scene: &Scene, best: &ExposeSetting) -> Option<String> {
    let snr = best.snr_screen.value;
    if snr >= RECORDED_SNR {
        return None;
    }
    let frames = (RECORDED_SNR / snr.max(1e-6)).powi(2).ceil();
    let remedy = if frames > MOST_AVERAGED {
        "no number of frames that is sensible mends that with this kit".to_owned()
    } else {
        format!("averaging {frames:.0} frames would make it {RECORDED_SNR:.0}")
    };
    let lens = if scene.limits.fixed_aperture || scene.lens.f_number < 2.0 { "" } else { "; a faster lens helps most" };
    Some(format!("Too faint for one good frame: signal only {} times the noise; {remedy}{lens}.", figures(snr)))
}

fn iso_limit(scene: &Scene, best: &ExposeSetting) -> Option<String> {
    let highest = scene.limits.highest_iso?;
    let dark = best.mid_grey_stops.value < -4.0 && best.iso >= 0.97 * highest.min(kit_highest_iso(scene));
    dark.then(|| {
        format!(
            "At this camera's highest ISO, {highest:.0}, the picture stays {:.0} stops under mid-grey: lighten it afterwards.",
            -best.mid_grey_stops.value
        )
    })
}

fn clipping(best: &ExposeSetting) -> Option<String> {
    (best.spare_stops.low < 0.0).then(|| {
        "A fivefold brightening clips even here: watch the green histogram and halve the time when it nears the edge.".to_owned()
    })
}

fn lapse_warnings(request: &ExposeRequest, best: &ExposeSetting) -> Vec<String> {
    let Some(lapse) = &best.time_lapse else { return Vec::new() };
    let limits = &request.kit.limits;
    let temperature_c = request.temperature_c.unwrap_or(ASSUMED_TEMPERATURE_C);
    let mut found = Vec::new();
    if let Some(card_gb) = limits.card_gb
        && lapse.card_gb.high > card_gb
    {
        found.push(format!(
            "The card has {card_gb:.0} GB; this time-lapse takes {:.0} to {:.0} GB.",
            lapse.card_gb.low.ceil(),
            lapse.card_gb.high.ceil()
        ));
    }
    if let Some(batteries) = lapse.batteries
        && batteries.high > 1.0
    {
        found.push(format!(
            "Take {:.0} full batteries, warm in an inner pocket: at {temperature_c:.0} degrees one gives {:.0} to {:.0} in ten of its rating.",
            batteries.high.ceil().max(2.0),
            lapse.cold_factor.low * 10.0,
            lapse.cold_factor.high * 10.0
        ));
    }
    if request.temperature_c.is_some_and(|given| given < NO_CHARGING_BELOW_C) {
        found.push("Do not charge batteries below 0 degrees: warm them first.".to_owned());
    }
    found
}
