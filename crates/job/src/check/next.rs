//! What to dial in for the next frame: from the level measured in this one to where `expose` puts the light.

use std::fmt::Write;

use frame::MotionKind;
use optics::Exposure;
use quantity::{Basis, Estimate};

use super::report::{ChannelClipping, CheckedMotion, CheckedSettings, CheckedSky, NextSettings};
use crate::Kit;
use crate::expose::ladder::{self, LONGEST_TIMED_S, seconds_text};
use crate::expose::plan::{ISO_CEILING, LAX_STARS, LEAST_STOPS_UNDER, USUAL_STOPS_UNDER};

/// Where people put aurora at the darkest, stops under mid-grey (settings people publish: 1 to 3).
const MOST_STOPS_UNDER: f64 = 3.0;
/// Share of a channel that may clip in the sky before it is worth a change.
pub(super) const CLIPPED_SKY: f64 = 0.001;
/// Change where the sky clips, stops: how far it is over cannot be seen, and the next brightening comes on top.
const UNCLIP_STOPS: f64 = 1.5;
/// Room for a brightening of three times, stops: what `expose` leaves at least.
const BRIGHTENING_STOPS: f64 = 1.585;
/// Trail that nobody sees, px: `1 - b/a` of a sharp star stays below a fifth.
const UNSEEN_TRAIL_PX: f64 = 1.5;
/// Base ISO of cameras whose own is not known.
const USUAL_BASE_ISO: f64 = 100.0;
/// Pixels of bodies for photographers are no larger, um: a file of larger ones was made small.
const LARGEST_PIXEL_UM: f64 = 8.5;
/// Change that is not worth a dial, stops.
const NO_CHANGE_STOPS: f64 = 1.0 / 3.0;

/// The change of light and ISO together that this frame asks for, stops.
pub(super) fn change_stops(sky: &CheckedSky, clipping: &[ChannelClipping]) -> f64 {
    let clips = clipping.iter().any(|channel| channel.sky_share > CLIPPED_SKY);
    let spare = clipping.iter().map(|channel| channel.spare_stops.value).fold(f64::INFINITY, f64::min);
    let stops = sky.mid_grey_stops.value;
    let wished = match stops {
        bright if bright > -LEAST_STOPS_UNDER => -USUAL_STOPS_UNDER - bright,
        dark if dark < -MOST_STOPS_UNDER => {
            // no brighter than leaves room for what brightens
            (-USUAL_STOPS_UNDER - dark).min((spare - BRIGHTENING_STOPS).max(0.0))
        }
        _ => 0.0,
    };
    if clips { wished.min(-UNCLIP_STOPS) } else { wished }
}

/// The next settings; `None` where those of this frame are not known.
pub(super) fn next(
    settings: &CheckedSettings,
    sky: Option<&CheckedSky>,
    clipping: &[ChannelClipping],
    motion: Option<&CheckedMotion>,
    kit: Option<&Kit>,
) -> Option<NextSettings> {
    let sky = sky?;
    let now = Now { exposure_s: settings.exposure_s?, iso: settings.iso?, f_number: settings.f_number };
    let wished = change_stops(sky, clipping);
    let trail_limit_s = motion.and_then(|motion| shorter_s(motion, now.exposure_s));
    if wished.abs() < NO_CHANGE_STOPS && trail_limit_s.is_none() {
        return Some(kept(&now, sky));
    }
    let limits = Limits::of(settings, kit, trail_limit_s);
    let (exposure_s, iso) = dialled(&now, wished, &limits);
    let reached = (exposure_s * iso / (now.exposure_s * now.iso)).log2();
    let sigma = 0.5 * (sky.mid_grey_stops.high - sky.mid_grey_stops.low);
    Some(NextSettings {
        exposure_s,
        iso,
        f_number: now.f_number,
        dial: dial(exposure_s, iso, now.f_number),
        change_stops: Estimate::symmetric(reached, sigma, Basis::Model),
        why: why(wished, reached, trail_limit_s, sky),
    })
}

struct Now {
    exposure_s: f64,
    iso: f64,
    f_number: Option<f64>,
}

/// What time and ISO may be.
struct Limits {
    /// Time within which stars stay points, s.
    stars_s: f64,
    /// Longest time that is borne, s.
    longest_s: f64,
    base_iso: f64,
    highest_iso: f64,
}

impl Limits {
    fn of(settings: &CheckedSettings, kit: Option<&Kit>, trail_limit_s: Option<f64>) -> Self {
        let camera_s = kit.and_then(|kit| kit.limits.longest_exposure_s).unwrap_or(LONGEST_TIMED_S);
        let npf_s = npf_s(settings, kit);
        let stars_s = trail_limit_s.or(npf_s).unwrap_or(LONGEST_TIMED_S).min(camera_s);
        let longest_s = trail_limit_s.unwrap_or(LAX_STARS * npf_s.unwrap_or(LONGEST_TIMED_S)).min(camera_s);
        Self {
            stars_s,
            longest_s,
            base_iso: kit.map_or(USUAL_BASE_ISO, |kit| kit.camera.base_iso),
            highest_iso: kit.and_then(|kit| kit.limits.highest_iso).unwrap_or(ISO_CEILING),
        }
    }
}

/// The NPF rule at the equator: the declinations in the frame are not known. By the sensor's pixels, not those of a copy
/// made small.
fn npf_s(settings: &CheckedSettings, kit: Option<&Kit>) -> Option<f64> {
    let (f_number, focal_mm) = (settings.f_number?, settings.focal_mm?);
    // a pixel of this angle behind this lens
    let by_file = || {
        let file_um = settings.pixel_arcsec?.value * focal_mm / optics::pixel_scale_arcsec(1.0, 1.0);
        Some(file_um.min(LARGEST_PIXEL_UM))
    };
    let pixel_um = kit.map(|kit| kit.camera.pixel_um).or_else(by_file)?;
    let seconds = optics::npf_limit_s(f_number, focal_mm, pixel_um, 0.0, 1.0);
    (seconds.is_finite() && seconds > 0.0).then_some(seconds)
}

/// Time at which a measured trail of the sky would not be seen, s.
fn shorter_s(motion: &CheckedMotion, exposure_s: f64) -> Option<f64> {
    let length_px = motion.length_px?.value;
    let by_sky = motion.kind == MotionKind::Trailing;
    (by_sky && length_px > UNSEEN_TRAIL_PX).then(|| exposure_s * UNSEEN_TRAIL_PX / length_px)
}

/// Time and ISO on the ladders that cameras have.
fn dialled(now: &Now, wished_stops: f64, limits: &Limits) -> (f64, f64) {
    let product = now.exposure_s * now.iso * 2f64.powf(wished_stops);
    // darker: less ISO first, then less time; brighter: time while stars stay points, then ISO, then more time
    let wish_s = if wished_stops > 0.0 { product / now.iso } else { now.exposure_s };
    let free_s = wish_s.min(limits.stars_s.max(now.exposure_s.min(limits.longest_s)));
    let mut seconds = ladder::seconds(free_s, free_s.max(1e-4));
    let highest = limits.highest_iso.max(now.iso.min(2.0 * ISO_CEILING)).max(limits.base_iso);
    let iso = ladder::iso(product / seconds, limits.base_iso, highest);
    let left = product / iso;
    if left < seconds / 1.15 || left > seconds * 1.15 {
        seconds = ladder::seconds(left.min(limits.longest_s.max(seconds)), left.min(limits.longest_s.max(seconds)));
    }
    (seconds, iso)
}

fn kept(now: &Now, sky: &CheckedSky) -> NextSettings {
    let sigma = 0.5 * (sky.mid_grey_stops.high - sky.mid_grey_stops.low);
    NextSettings {
        exposure_s: now.exposure_s,
        iso: now.iso,
        f_number: now.f_number,
        dial: dial(now.exposure_s, now.iso, now.f_number),
        change_stops: Estimate::symmetric(0.0, sigma, Basis::Model),
        why: format!("Keep these: the sky stands {}, where it belongs.", place(sky)),
    }
}

fn why(wished: f64, reached: f64, trail_limit_s: Option<f64>, sky: &CheckedSky) -> String {
    // writing to a String cannot fail
    let mut words = match wished {
        none if none.abs() < NO_CHANGE_STOPS => format!("The sky stands {}, where it belongs", place(sky)),
        brighter if brighter > 0.0 => format!("The sky stands {}: {brighter:.1} stops more are wanted", place(sky)),
        darker => format!("The sky stands {}: {:.1} stops less are wanted", place(sky), -darker),
    };
    if (wished - reached).abs() > 2.0 * NO_CHANGE_STOPS {
        let _written = write!(words, ", and {reached:+.1} are what stars and camera allow");
    }
    if let Some(limit_s) = trail_limit_s {
        let _written = write!(words, "; stars stay points up to {}", seconds_text(limit_s));
    }
    let sigma = 0.5 * (sky.mid_grey_stops.high - sky.mid_grey_stops.low);
    format!("{words}. An estimate, good to {sigma:.1} stops: take it, then check again.")
}

/// "1.7 stops under mid-grey".
pub(super) fn place(sky: &CheckedSky) -> String {
    match sky.mid_grey_stops.value {
        under if under < 0.0 => format!("{:.1} stops under mid-grey", -under),
        over => format!("{over:.1} stops over mid-grey"),
    }
}

fn dial(seconds: f64, iso: f64, f_number: Option<f64>) -> String {
    match f_number {
        Some(f_number) => crate::expose::judge::dial(Exposure { seconds, iso, f_number }),
        None => format!("{}, ISO {iso:.0}", seconds_text(seconds)),
    }
}
