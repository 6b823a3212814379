//! One setting judged: electrons, noise, place in the histogram, trails, blur, and what gives first.

use optics::{Exposure, Shot};
use quantity::{Basis, Estimate};

use super::brightness::brightening;
use super::ladder::{f_number_text, seconds_text};
use super::lapse;
use super::plan::{BRIGHTENING_TIMES, Choice, GOOD_SNR, kit_longest_s};
use super::report::{ExposeSetting, ExposedLight, LimitedBy, SettingGoal};
use super::request::ExposeRequest;
use super::scene::{STOPS_SAID, Scene};

/// Error of quantum efficiency, transmission and filter taken together, as a ratio (cameras differ by a fifth).
const CAMERA_SPREAD: f64 = 1.2;
/// Where green stands in the channels of a report.
const GREEN: usize = 1;

/// What a setting gives.
pub(super) fn judged(request: &ExposeRequest, scene: &Scene, light: &ExposedLight, choice: Choice) -> ExposeSetting {
    let Choice { goal, exposure } = choice;
    let shot = scene.shot(exposure);
    let aurora_e = scene.aurora_e(exposure).map(|e| aurora(e, &light.green_5577_kr));
    let sky_e = scene.sky_e(exposure).map(|e| sky(e, &light.sky_mag_arcsec2));
    let snr_pixel = snr(&shot, &aurora_e[GREEN], &sky_e[GREEN]);
    let trail_px =
        optics::trail_px(exposure.seconds, scene.least_declination_deg, scene.sensor.pixel_um, scene.lens.focal_mm);
    let (limited_by, limit_text) = first_limit(scene, exposure, trail_px);
    ExposeSetting {
        goal,
        f_number: exposure.f_number,
        exposure_s: exposure.seconds,
        iso: exposure.iso,
        dial: dial(exposure),
        why: why(scene, goal, exposure),
        limited_by,
        limit_text,
        noise_e: shot.noise_e(aurora_e[GREEN].value, sky_e[GREEN].value),
        read_noise_e: scene.sensor.read_noise_e(exposure.iso),
        saturation_e: shot.saturation_e(),
        snr_screen: snr_pixel.scaled(scene.pixels_averaged().sqrt()),
        snr_pixel,
        mid_grey_stops: stops_from_mid_grey(exposure, &plus(light.green_5577_kr, light.sky_as_green_kr)),
        sky_mid_grey_stops: stops_from_mid_grey(exposure, &sky(light.sky_as_green_kr, &light.sky_mag_arcsec2)),
        below_clipping_stops: below_clipping(&shot, &aurora_e[GREEN], &sky_e[GREEN]),
        spare_stops: spare(scene, exposure, light),
        trail_px,
        blur_px: blur(scene, |speed| {
            exposure.seconds * optics::aurora_px_s(speed, scene.range_km, scene.sensor.pixel_um, scene.lens.focal_mm)
        }),
        blur_deg: blur(scene, |speed| exposure.seconds * optics::aurora_deg_s(speed, scene.range_km)),
        time_lapse: lapse::time_lapse(request, exposure.seconds),
        aurora_e,
        sky_e,
    }
}

/// "8 s, f/1.8, ISO 2000".
pub(crate) fn dial(exposure: Exposure) -> String {
    format!("{}, {}, ISO {:.0}", seconds_text(exposure.seconds), f_number_text(exposure.f_number), exposure.iso)
}

/// Electrons with the spread of the brightness and of cameras, taken as independent ratios.
fn aurora(electrons: f64, green_kr: &Estimate) -> Estimate {
    let spread = |ratio: f64| ratio.max(1.0).ln().hypot(CAMERA_SPREAD.ln()).exp();
    let (down, up) = if green_kr.value > 0.0 {
        (spread(green_kr.value / green_kr.low.max(1e-6)), spread(green_kr.high / green_kr.value))
    } else {
        (CAMERA_SPREAD, CAMERA_SPREAD)
    };
    Estimate { value: electrons, low: electrons / down, high: electrons * up, basis: Basis::Model }
}

fn sky(electrons: f64, mag: &Estimate) -> Estimate {
    let spread = |mags: f64| (mags.abs() * 0.4 * std::f64::consts::LN_10).hypot(CAMERA_SPREAD.ln()).exp();
    Estimate {
        value: electrons,
        low: electrons / spread(mag.high - mag.value),
        high: electrons * spread(mag.value - mag.low),
        basis: Basis::Model,
    }
}

fn snr(shot: &Shot<'_>, aurora_e: &Estimate, sky_e: &Estimate) -> Estimate {
    Estimate {
        value: shot.snr(aurora_e.value, sky_e.value, 1),
        low: shot.snr(aurora_e.low, sky_e.value, 1),
        high: shot.snr(aurora_e.high, sky_e.value, 1),
        basis: Basis::Model,
    }
}

fn plus(estimate: Estimate, more: f64) -> Estimate {
    Estimate {
        value: estimate.value + more,
        low: estimate.low + more,
        high: estimate.high + more,
        basis: estimate.basis,
    }
}

fn stops_from_mid_grey(exposure: Exposure, green_kr: &Estimate) -> Estimate {
    let stops = |kr: f64| (kr / optics::mid_grey_kr(exposure)).log2().clamp(-STOPS_SAID, STOPS_SAID);
    Estimate { value: stops(green_kr.value), low: stops(green_kr.low), high: stops(green_kr.high), basis: Basis::Model }
}

fn below_clipping(shot: &Shot<'_>, aurora_e: &Estimate, sky_e: &Estimate) -> Estimate {
    let stops = |e: f64| shot.stops_to_clip(e).clamp(-STOPS_SAID, STOPS_SAID);
    Estimate {
        value: stops(aurora_e.value + sky_e.value),
        low: stops(aurora_e.high + sky_e.high),
        high: stops(aurora_e.low + sky_e.low),
        basis: Basis::Model,
    }
}

/// Left when the aurora brightens three to five times.
fn spare(scene: &Scene, exposure: Exposure, light: &ExposedLight) -> Estimate {
    let times = |kr: f64| kr / light.green_5577_kr.value.max(1e-9);
    let brighter = brightening(light.green_5577_kr.value);
    Estimate {
        value: scene.spare_stops(exposure, times(brighter.value)),
        low: scene.spare_stops(exposure, times(brighter.high)),
        high: scene.spare_stops(exposure, times(brighter.low)),
        basis: Basis::Model,
    }
}

fn blur(scene: &Scene, of_speed: impl Fn(f64) -> f64) -> Estimate {
    let speed = scene.movement.speed_km_s;
    Estimate { value: of_speed(speed.value), low: of_speed(speed.low), high: of_speed(speed.high), basis: Basis::Model }
}

/// What spoils this setting first: the largest of four shares of what is borne.
fn first_limit(scene: &Scene, exposure: Exposure, trail_px: f64) -> (LimitedBy, String) {
    let stars_s = scene.stars_s(exposure.f_number, 1.0);
    let motion_s = scene.movement.limit_s().value;
    let snr = scene.snr(exposure).1;
    let spare = scene.spare_stops(exposure, BRIGHTENING_TIMES);
    let shares = [
        (LimitedBy::Stars, exposure.seconds / stars_s),
        (LimitedBy::Motion, exposure.seconds / motion_s),
        (LimitedBy::Light, GOOD_SNR / snr.max(1e-6)),
        (LimitedBy::Clipping, 2f64.powf(-spare)),
    ];
    let first = shares.iter().max_by(|a, b| a.1.total_cmp(&b.1)).map_or(LimitedBy::Light, |share| share.0);
    let words = match first {
        LimitedBy::Stars => {
            format!("limited by stars: points up to {}, trails of {} here", about_seconds(stars_s), pixels(trail_px))
        }
        LimitedBy::Motion => format!("limited by motion: the aurora smears after {}", about_seconds(motion_s)),
        LimitedBy::Light if exposure.seconds >= kit_longest_s(scene) * 0.97 => {
            format!(
                "limited by light: signal {} times the noise, and the camera stops at {}",
                figures(snr),
                seconds_text(exposure.seconds)
            )
        }
        LimitedBy::Light if snr >= GOOD_SNR => {
            format!("limited by light alone, and there is enough: signal {} times the noise", figures(snr))
        }
        LimitedBy::Light => format!("limited by light: signal {} times the noise", figures(snr)),
        LimitedBy::Clipping if spare < 0.0 => "limited by clipping: the next brightening loses its green".to_owned(),
        LimitedBy::Clipping => format!("limited by clipping: {spare:.1} stops left above a fivefold brightening"),
    };
    (first, words)
}

/// A time as it is reckoned, not as a camera prints it: "9.3 s", "0.2 s", "21 s".
pub(super) fn about_seconds(seconds: f64) -> String {
    if seconds < 9.95 { format!("{seconds:.1} s") } else { format!("{seconds:.0} s") }
}

/// "3 pixels", "0.4 pixels".
fn pixels(count: f64) -> String {
    format!("{} pixels", figures(count))
}

/// Two figures.
pub(crate) fn figures(value: f64) -> String {
    match value {
        v if v < 0.095 => format!("{v:.2}"),
        v if v < 9.95 => format!("{v:.1}"),
        v => format!("{v:.0}"),
    }
}

fn why(scene: &Scene, goal: SettingGoal, exposure: Exposure) -> String {
    match goal {
        SettingGoal::Balanced => balanced_words(scene, exposure),
        SettingGoal::Sharper => {
            "Shorter: stars and folds sharper, more frames an hour; noisier, so the ISO goes up to keep the picture bright.".to_owned()
        }
        SettingGoal::Cleaner => "Longer at less ISO: cleanest dark parts, but stars trail and folds smear.".to_owned(),
        SettingGoal::Headroom => {
            "Half the ISO for the same light: a darker picture on the screen, a stop more before a brightening clips. Best when you shoot raw.".to_owned()
        }
        SettingGoal::SharpCorners => {
            "Lens closed by a stop: corners sharper and brighter, the foreground deeper in focus.".to_owned()
        }
        SettingGoal::Brighter => "More ISO for the same light: easier to judge on the screen, no less noise.".to_owned(),
    }
}

fn balanced_words(scene: &Scene, exposure: Exposure) -> String {
    let stars_s = scene.stars_s(exposure.f_number, 1.0);
    let motion_s = scene.movement.limit_s().value;
    let snr = scene.snr(exposure).1;
    if exposure.seconds >= kit_longest_s(scene) * 0.97 && snr < GOOD_SNR {
        return "As long as the camera can, because light is short.".to_owned();
    }
    let (bound_s, what) =
        if stars_s < motion_s { (stars_s, "stars begin to trail") } else { (motion_s, "the aurora smears") };
    if exposure.seconds > bound_s * 1.04 {
        let result = if snr >= GOOD_SNR * 0.97 { "to get the noise down" } else { "and still noisy: light is short" };
        return format!("Longer than the {} after which {what}, {result}.", about_seconds(bound_s));
    }
    if exposure.seconds > bound_s * 0.7 {
        return format!("As long as nothing smears ({what} after {}).", about_seconds(bound_s));
    }
    "Enough light for a clean picture with room for a brightening; longer would only smear what moves.".to_owned()
}
