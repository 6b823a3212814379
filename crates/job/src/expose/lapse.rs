//! Time-lapse arithmetic: interval, frames, card, battery, clip.

use quantity::{Basis, Estimate};

use super::ladder::seconds_text;
use super::report::TimeLapse;
use super::request::{ExposeRequest, ShootingPurpose};

/// Share of its rating a lithium-ion battery gives by temperature, degrees Celsius (textbook guide; -20 also from the trade).
const COLD: [(f64, f64); 5] = [(-30.0, 0.3), (-20.0, 0.5), (-10.0, 0.65), (0.0, 0.8), (20.0, 1.0)];
/// Error of that share each way: batteries of one make differ by as much (judgement).
const COLD_SIGMA: f64 = 0.1;
/// Frames at a steady interval with the screen off over the rated count, which is with screen and flash (common practice).
const STEADY_USE: (f64, f64, f64) = (1.5, 2.1, 3.0);
/// Size of a losslessly compressed raw frame, MB per megapixel (common practice).
const MB_PER_MEGAPIXEL: (f64, f64, f64) = (1.1, 1.5, 2.0);
/// Temperature where nobody gave one, degrees Celsius.
pub(super) const ASSUMED_TEMPERATURE_C: f64 = -5.0;

/// The time-lapse with an exposure time, where one is asked for.
pub(super) fn time_lapse(request: &ExposeRequest, exposure_s: f64) -> Option<TimeLapse> {
    let ShootingPurpose::TimeLapse { hours, fps, gap_s } = request.purpose else { return None };
    let limits = &request.kit.limits;
    // intervals are set in whole seconds
    let interval_s = (exposure_s + gap_s - ROUNDING_S).ceil().max(1.0);
    let frames = (hours * 3600.0 / interval_s).floor().max(1.0);
    let frame_mb = frame_mb(request);
    let card_gb = times(frame_mb, frames / 1000.0);
    let cold_factor = cold_factor(request.temperature_c.unwrap_or(ASSUMED_TEMPERATURE_C));
    let battery_frames = limits.battery_frames.map(|rated| battery_frames(rated, cold_factor));
    let batteries = battery_frames.map(|each| Estimate {
        value: frames / each.value,
        low: frames / each.high,
        high: frames / each.low,
        basis: Basis::Assumed,
    });
    let card_lasts_hours = limits.card_gb.map(|gb| hours_on_card(gb, frame_mb, interval_s));
    let mut lapse = TimeLapse {
        interval_s,
        frames,
        clip_s: frames / fps,
        speed_up: interval_s * fps,
        card_gb,
        card_lasts_hours,
        cold_factor,
        battery_frames,
        batteries,
        text: String::new(),
    };
    lapse.text = text(&lapse, hours, fps);
    Some(lapse)
}

/// So much as rounding may add to a sum of printed seconds.
const ROUNDING_S: f64 = 1e-6;

fn frame_mb(request: &ExposeRequest) -> Estimate {
    if let Some(mb) = request.kit.limits.frame_mb {
        return Estimate { value: mb, low: mb, high: mb, basis: Basis::Measured };
    }
    let megapixels = f64::from(request.kit.camera.width_px) * f64::from(request.kit.camera.height_px) * 1e-6;
    let (low, value, high) = MB_PER_MEGAPIXEL;
    Estimate { value: value * megapixels, low: low * megapixels, high: high * megapixels, basis: Basis::Assumed }
}

/// Share of the rated charge at a temperature: straight lines between the guide's points, level beyond them.
pub(super) fn cold_factor(temperature_c: f64) -> Estimate {
    let after = COLD.partition_point(|(at, _)| *at < temperature_c);
    let value = match (after.checked_sub(1).and_then(|before| COLD.get(before)), COLD.get(after)) {
        (Some((t0, f0)), Some((t1, f1))) => f0 + (f1 - f0) * (temperature_c - t0) / (t1 - t0),
        (Some((_, end)), None) | (None, Some((_, end))) => *end,
        (None, None) => 1.0,
    };
    let (low, high) = ((value - COLD_SIGMA).max(0.05), (value + COLD_SIGMA).min(1.0));
    Estimate { value, low, high, basis: Basis::Assumed }
}

fn battery_frames(rated: f64, cold: Estimate) -> Estimate {
    let (low, value, high) = STEADY_USE;
    Estimate {
        value: rated * cold.value * value,
        low: rated * cold.low * low,
        high: rated * cold.high * high,
        basis: Basis::Assumed,
    }
}

fn hours_on_card(gb: f64, frame_mb: Estimate, interval_s: f64) -> Estimate {
    let hours = |mb: f64| gb * 1000.0 / mb * interval_s / 3600.0;
    Estimate {
        value: hours(frame_mb.value),
        low: hours(frame_mb.high),
        high: hours(frame_mb.low),
        basis: frame_mb.basis,
    }
}

fn times(estimate: Estimate, factor: f64) -> Estimate {
    Estimate {
        value: estimate.value * factor,
        low: estimate.low * factor,
        high: estimate.high * factor,
        basis: estimate.basis,
    }
}

fn text(lapse: &TimeLapse, hours: f64, fps: f64) -> String {
    let battery = lapse.batteries.map_or_else(
        || "battery not known".to_owned(),
        |batteries| format!("{} at this cold", counted(batteries.value.ceil(), "battery", "batteries")),
    );
    format!(
        "every {}: {:.0} frames in {hours} h, {:.0} GB, {battery}, a clip of {:.0} s at {fps} frames a second, {:.0} times life",
        seconds_text(lapse.interval_s),
        lapse.frames,
        lapse.card_gb.value.ceil(),
        lapse.clip_s,
        lapse.speed_up
    )
}

fn counted(count: f64, one: &str, many: &str) -> String {
    format!("{count:.0} {}", if count < 1.5 { one } else { many })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cold_takes_what_the_guide_says() {
        for (at, share) in [(20.0, 1.0), (0.0, 0.8), (-10.0, 0.65), (-20.0, 0.5), (-30.0, 0.3), (-15.0, 0.575)] {
            assert!((cold_factor(at).value - share).abs() < 1e-9, "{at}: {:?}", cold_factor(at));
        }
        assert!((cold_factor(-50.0).value - 0.3).abs() < 1e-9 && (cold_factor(35.0).value - 1.0).abs() < 1e-9);
    }
}
