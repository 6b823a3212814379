//! Which settings: one that balances all, and up to four that trade one thing for another.

use optics::Exposure;

use super::ladder::{self, LONGEST_TIMED_S};
use super::report::SettingGoal;
use super::scene::Scene;

/// Signal over noise, in the picture as it is looked at, from which noise no longer disturbs (common practice).
pub(super) const GOOD_SNR: f64 = 10.0;
/// Where people put ordinary aurora, stops under mid-grey: 1 to 3 (settings people publish); less costs headroom.
pub(crate) const USUAL_STOPS_UNDER: f64 = 1.5;
/// Where the light may be put at most when noise asks for more of it.
pub(crate) const LEAST_STOPS_UNDER: f64 = 0.5;
/// ISO people use at f/2.8 on 10 kR, the middle of 1600 to 3200, and its fall per decade of light: by half.
const ISO_AT_10_KR: f64 = 2263.0;
const ISO_SLOPE: f64 = 0.3;
const ISO_LAW_F_NUMBER: f64 = 2.8;
/// Highest ISO chosen by itself: above it only headroom is lost on present-day sensors (common practice).
pub(crate) const ISO_CEILING: f64 = 6400.0;
/// Stops of missing light that are borne before the ISO is raised for them.
const UNLIT_STOPS_BORNE: f64 = 1.5;
/// Laxest tolerance of the NPF rule.
pub(crate) const LAX_STARS: f64 = 3.0;
/// Structure widths an aurora may move when noise leaves no choice.
const LAX_MOTION: f64 = 3.0;
/// The brightening that must not clip.
pub(super) const BRIGHTENING_TIMES: f64 = 5.0;
/// Widest f-number at which closing the lens pays in the corners.
const CLOSE_FASTER_THAN: f64 = 2.5;
/// Least gain in time for which a longer exposure is worth a card of its own.
const WORTH_A_CARD: f64 = 1.25;
/// Most settings.
const MOST: usize = 5;

/// One candidate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Choice {
    pub(super) goal: SettingGoal,
    pub(super) exposure: Exposure,
}

/// Three to five settings, the balanced one first.
pub(super) fn choices(scene: &Scene) -> Vec<Choice> {
    let balanced = balanced(scene, scene.lens.f_number);
    let mut found = vec![Choice { goal: SettingGoal::Balanced, exposure: balanced }];
    let candidates = [
        (SettingGoal::Sharper, Some(sharper(scene, balanced))),
        (SettingGoal::Cleaner, cleaner(scene, balanced)),
        (SettingGoal::Headroom, Some(headroom(scene, balanced))),
        (SettingGoal::SharpCorners, closed(scene, balanced)),
        (SettingGoal::Brighter, Some(brighter(scene, balanced))),
    ];
    for (goal, exposure) in candidates {
        let Some(exposure) = exposure else { continue };
        let spare = goal == SettingGoal::Brighter && found.len() >= 3;
        if !spare && found.len() < MOST && found.iter().all(|other| !same(other.exposure, exposure)) {
            found.push(Choice { goal, exposure });
        }
    }
    found
}

fn same(a: Exposure, b: Exposure) -> bool {
    let near = |x: f64, y: f64| (x / y - 1.0).abs() < 1e-6;
    near(a.seconds, b.seconds) && near(a.iso, b.iso) && near(a.f_number, b.f_number)
}

/// Longest time the kit allows by itself, s.
pub(super) fn kit_longest_s(scene: &Scene) -> f64 {
    scene.limits.longest_exposure_s.unwrap_or(LONGEST_TIMED_S).min(LONGEST_TIMED_S)
}

/// Highest ISO of the kit.
pub(super) fn kit_highest_iso(scene: &Scene) -> f64 {
    scene.limits.highest_iso.unwrap_or(ISO_CEILING).max(scene.sensor.base_iso)
}

/// The ISO people use for so much light on the sensor, as far as the kit has it.
fn usual_iso(scene: &Scene, f_number: f64) -> f64 {
    let light_kr = scene.total_green_kr() * (ISO_LAW_F_NUMBER / f_number).powi(2);
    let iso = ISO_AT_10_KR * (10.0 / light_kr).powf(ISO_SLOPE);
    iso.min(ISO_CEILING).min(kit_highest_iso(scene)).max(scene.sensor.base_iso)
}

/// The time the light asks for, were it not for stars, motion and kit, s.
pub(super) fn wished_s(scene: &Scene, f_number: f64) -> f64 {
    let iso = usual_iso(scene, f_number);
    let usual_s = scene.placing_s(f_number, iso, USUAL_STOPS_UNDER);
    let noise_s = scene.reaching_s(f_number, iso, GOOD_SNR);
    usual_s.max(noise_s.min(scene.placing_s(f_number, iso, LEAST_STOPS_UNDER)))
}

/// Times bounded by sharpness: without loss, and at the most that is borne, s.
fn sharp_s(scene: &Scene, f_number: f64) -> (f64, f64) {
    let motion_s = scene.movement.limit_s().value;
    let firm_s = scene.stars_s(f_number, 1.0).min(motion_s);
    let lax_s = scene.stars_s(f_number, LAX_STARS).min(LAX_MOTION * motion_s).min(kit_longest_s(scene));
    (firm_s.min(lax_s), lax_s)
}

/// As long as the light asks; as short as stars and motion ask, unless noise would spoil it.
fn balanced(scene: &Scene, f_number: f64) -> Exposure {
    let usual = usual_iso(scene, f_number);
    let (firm_s, lax_s) = sharp_s(scene, f_number);
    let noise_s = scene.reaching_s(f_number, usual, GOOD_SNR);
    let longest_s = noise_s.clamp(firm_s, lax_s);
    let seconds = ladder::seconds(wished_s(scene, f_number).min(longest_s), longest_s);
    let unlit_stops = (scene.placing_s(f_number, usual, USUAL_STOPS_UNDER) / seconds).log2();
    let raised = usual * 2f64.powf((unlit_stops - UNLIT_STOPS_BORNE).max(0.0));
    let iso = ladder::iso(raised, scene.sensor.base_iso, ISO_CEILING.min(kit_highest_iso(scene)));
    unclipped(scene, Exposure { seconds, iso, f_number })
}

/// The same with less ISO, then less time, until the next brightening fits.
fn unclipped(scene: &Scene, mut exposure: Exposure) -> Exposure {
    let spare = |exposure: Exposure| scene.spare_stops(exposure, BRIGHTENING_TIMES);
    if spare(exposure) < 0.0 {
        let wish = exposure.iso * 2f64.powf(spare(exposure));
        exposure.iso = ladder::iso(wish, scene.sensor.base_iso, exposure.iso);
    }
    if spare(exposure) < 0.0 {
        let longest_s = exposure.seconds * 2f64.powf(spare(exposure));
        exposure.seconds = ladder::seconds(longest_s, longest_s);
    }
    exposure
}

fn sharper(scene: &Scene, from: Exposure) -> Exposure {
    let (firm_s, _) = sharp_s(scene, from.f_number);
    let wish_s = if firm_s < from.seconds / WORTH_A_CARD { firm_s.max(from.seconds / 3.0) } else { from.seconds / 2.0 };
    let seconds = ladder::seconds(wish_s, from.seconds / WORTH_A_CARD);
    unclipped(scene, Exposure { iso: raised(scene, from.iso, from.seconds / seconds), seconds, ..from })
}

fn cleaner(scene: &Scene, from: Exposure) -> Option<Exposure> {
    let (_, lax_s) = sharp_s(scene, from.f_number);
    if lax_s < from.seconds * WORTH_A_CARD {
        return None;
    }
    let seconds = ladder::seconds(2.0 * from.seconds, lax_s);
    let iso = ladder::iso(from.iso * from.seconds / seconds, scene.sensor.base_iso, from.iso);
    (seconds > from.seconds).then(|| unclipped(scene, Exposure { seconds, iso, ..from }))
}

fn headroom(scene: &Scene, from: Exposure) -> Exposure {
    Exposure { iso: ladder::iso(from.iso / 2.0, scene.sensor.base_iso, from.iso), ..from }
}

/// The lens closed by about a stop, where there is light for it.
fn closed(scene: &Scene, from: Exposure) -> Option<Exposure> {
    let fast = !scene.limits.fixed_aperture && from.f_number < CLOSE_FASTER_THAN;
    if !fast {
        return None;
    }
    let f_number = ladder::f_number(from.f_number * std::f64::consts::SQRT_2);
    let exposure = balanced(scene, f_number);
    (scene.snr(exposure).1 >= GOOD_SNR).then_some(exposure)
}

fn brighter(scene: &Scene, from: Exposure) -> Exposure {
    Exposure { iso: raised(scene, from.iso, 2.0), ..from }
}

/// ISO raised by a ratio, as far as the kit goes.
fn raised(scene: &Scene, iso: f64, ratio: f64) -> f64 {
    let highest = kit_highest_iso(scene).min(2.0 * ISO_CEILING).max(iso);
    ladder::iso(iso * ratio, scene.sensor.base_iso, highest)
}
