//! What to change, in words for somebody with cold hands; the most urgent first.

use frame::{FocusState, MotionKind};

use super::next::{CLIPPED_SKY, change_stops};
use super::report::{
    AdviceSubject, ChannelClipping, CheckAdvice, CheckReport, CheckedChannel, CheckedFocus, CheckedMotion,
    CheckedScene, CheckedSky, Urgency,
};

/// Change that is worth a word, stops.
const WORTH_SAYING_STOPS: f64 = 0.7;
/// Stops to spare below which the next brightening is pointed out: three times as bright takes 1.6.
const LITTLE_ROOM_STOPS: f64 = 1.6;

fn advice(urgency: Urgency, about: AdviceSubject, text: impl Into<String>) -> CheckAdvice {
    CheckAdvice { urgency, about, text: text.into() }
}

/// Every advice that the findings of a report give.
pub(super) fn of(report: &CheckReport, halo: bool) -> Vec<CheckAdvice> {
    let scene = |text: &str| vec![advice(Urgency::Now, AdviceSubject::Scene, text)];
    match report.scene {
        CheckedScene::Dark => {
            return scene(
                "Nothing but dark: take the cap off the lens, open the aperture, and shoot again at ISO 3200.",
            );
        }
        CheckedScene::NotAPhotograph => return scene("This is no photograph: give a frame as the camera wrote it."),
        CheckedScene::Day => {
            return scene("This is daylight: focus and settings for the night cannot be judged from it.");
        }
        CheckedScene::NightSky
        | CheckedScene::Moonlit
        | CheckedScene::Twilight
        | CheckedScene::CannotTell
        | CheckedScene::Unreadable => {}
    }
    let mut found = Vec::new();
    found.extend(report.focus.as_ref().and_then(focus));
    found.extend(report.motion.as_ref().and_then(motion));
    found.extend(clipped(report));
    if halo {
        found.push(advice(
            Urgency::Soon,
            AdviceSubject::Glass,
            "Stars have wide halos: look at the front glass with a red light for dew or frost; if it is dry, thin cloud is passing.",
        ));
    }
    if report.scene != CheckedScene::CannotTell {
        found.extend(report.sky.as_ref().and_then(|sky| exposure(sky, report)));
    }
    found.extend(spare(report));
    if report.scene == CheckedScene::CannotTell {
        found.push(advice(
            Urgency::Note,
            AdviceSubject::Scene,
            format!("What the frame shows cannot be told: {}.", report.scene_why),
        ));
    }
    found.sort_by_key(|advice| advice.urgency);
    if is_night(report) && !found.iter().any(|advice| advice.urgency <= Urgency::Soon) {
        found.insert(0, advice(Urgency::Good, AdviceSubject::Scene, all_well(report)));
    }
    if found.is_empty() {
        found.push(advice(Urgency::Note, AdviceSubject::Scene, "Nothing was found that asks for a change."));
    }
    found
}

fn focus(focus: &CheckedFocus) -> Option<CheckAdvice> {
    let width = focus.hfd_px.map_or(0.0, |hfd| hfd.value);
    let compared = focus.over_sharpest.map_or_else(
        || format!("stars are {width:.1} pixels wide"),
        |over| format!("stars are {:.1} times as wide as the sharpest known of this lens", over.value),
    );
    let (urgency, text) = match focus.state {
        FocusState::Sharp => return None,
        FocusState::Soft => (
            Urgency::Soon,
            format!("Focus is soft: {compared}. Turn the ring a hair, shoot again, and keep the side on which they get smaller."),
        ),
        FocusState::Defocused => (
            Urgency::Now,
            format!("Out of focus: {compared}. Magnify a bright star on the screen, turn the ring until it is smallest, tape it, and shoot again."),
        ),
        FocusState::Donut => (
            Urgency::Now,
            format!("Far out of focus: {compared}, rings instead of points. Turn the ring to infinity, then back and forth on a magnified star until it is smallest."),
        ),
        FocusState::CannotTell => (
            Urgency::Note,
            "Focus cannot be told: too few clear stars. Aim at a clear part of the sky and shoot again before you trust it.".to_owned(),
        ),
    };
    Some(advice(urgency, AdviceSubject::Focus, text))
}

fn motion(motion: &CheckedMotion) -> Option<CheckAdvice> {
    let length = motion.length_px.map_or(0.0, |length| length.value);
    let (urgency, text) = match motion.kind {
        MotionKind::Held | MotionKind::Lens => return None,
        MotionKind::Trailing => (
            Urgency::Soon,
            format!("Stars trail by {length:.1} pixels because the sky turns: expose for a shorter time."),
        ),
        MotionKind::Shaken if motion.twice => (
            Urgency::Now,
            format!("The camera was knocked: stars appear twice, {length:.1} pixels apart. Let nobody near the tripod, and shoot again."),
        ),
        MotionKind::Shaken => (
            Urgency::Now,
            "The camera moved: all stars are drawn out the same way. Weigh the tripod down, use the timer or a remote, and shoot again.".to_owned(),
        ),
        MotionKind::Turned => (
            Urgency::Now,
            "The camera turned during the exposure: tighten head and legs, and shoot again.".to_owned(),
        ),
        MotionKind::SkyOrCamera => (
            Urgency::Soon,
            format!("Stars are drawn out by {length:.1} pixels. Look at the foreground: sharp there means a shorter time, drawn out there means a steadier tripod."),
        ),
        MotionKind::CannotTell => (
            Urgency::Note,
            "Whether the tripod held cannot be told: too few clear stars.".to_owned(),
        ),
    };
    Some(advice(urgency, AdviceSubject::Motion, text))
}

fn name(channel: CheckedChannel) -> &'static str {
    match channel {
        CheckedChannel::Red => "red",
        CheckedChannel::Green => "green",
        CheckedChannel::Blue => "blue",
        CheckedChannel::Grey => "grey",
    }
}

/// "green and blue".
fn names(channels: &[&ChannelClipping]) -> String {
    channels.iter().map(|channel| name(channel.channel)).collect::<Vec<_>>().join(" and ")
}

fn clipped(report: &CheckReport) -> Option<CheckAdvice> {
    let clipped: Vec<&ChannelClipping> =
        report.clipping.iter().filter(|channel| channel.sky_share > CLIPPED_SKY).collect();
    let most = clipped.iter().map(|channel| channel.sky_share).reduce(f64::max)?;
    Some(advice(
        if is_night(report) { Urgency::Now } else { Urgency::Soon },
        AdviceSubject::Clipping,
        format!(
            "{} of the frame is burnt out in {}; what is lost there cannot be brought back. Take a third of the ISO or of the time.",
            share_words(most),
            names(&clipped)
        ),
    ))
}

/// "3 %", "0.4 %".
fn share_words(share: f64) -> String {
    let percent = 100.0 * share;
    if percent < 0.95 { format!("{percent:.1} %") } else { format!("{percent:.0} %") }
}

fn exposure(sky: &CheckedSky, report: &CheckReport) -> Option<CheckAdvice> {
    let stops = change_stops(sky, &report.clipping);
    let clips = report.clipping.iter().any(|channel| channel.sky_share > CLIPPED_SKY);
    if stops.abs() < WORTH_SAYING_STOPS || clips {
        return None;
    }
    let place = super::next::place(sky);
    let dial = report.next.as_ref().map_or_else(String::new, |next| format!(" Try {}.", next.dial));
    let text = if stops > 0.0 {
        format!("Dark: the sky stands {place}; {stops:.1} stops more are wanted (estimate).{dial}")
    } else {
        format!("Bright: the sky stands {place}; {:.1} stops less are wanted (estimate).{dial}", -stops)
    };
    Some(advice(Urgency::Soon, AdviceSubject::Exposure, text))
}

fn spare(report: &CheckReport) -> Option<CheckAdvice> {
    let first = first_to_clip(&report.clipping).filter(|channel| channel.sky_share <= CLIPPED_SKY)?;
    let stops = first.spare_stops.value;
    let (place, warning) = match is_night(report) {
        true if stops < LITTLE_ROOM_STOPS => ("in the sky", "; the next brightening may burn it out"),
        true => ("in the sky", ""),
        false => ("in the brightest parts", ""),
    };
    let text = format!("{stops:.1} stops to spare before {} clips {place}{warning}.", name(first.channel));
    Some(advice(Urgency::Note, AdviceSubject::Clipping, text))
}

fn is_night(report: &CheckReport) -> bool {
    matches!(report.scene, CheckedScene::NightSky | CheckedScene::Moonlit)
}

/// The channel that is nearest to full.
fn first_to_clip(clipping: &[ChannelClipping]) -> Option<&ChannelClipping> {
    clipping.iter().min_by(|a, b| a.spare_stops.value.total_cmp(&b.spare_stops.value))
}

fn all_well(report: &CheckReport) -> String {
    let sharp = report.focus.as_ref().is_some_and(|focus| focus.state == FocusState::Sharp);
    let held = report.motion.as_ref().is_some_and(|motion| matches!(motion.kind, MotionKind::Held | MotionKind::Lens));
    match (sharp, held) {
        (true, true) => "Good: stars are sharp and the tripod held. Keep shooting.".to_owned(),
        (true, false) => "Stars are sharp. Keep shooting.".to_owned(),
        (false, _) => "Nothing was found that spoils the frame.".to_owned(),
    }
}
