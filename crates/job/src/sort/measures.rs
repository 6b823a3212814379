//! What the other parts read from a frame's report, each in one place.

use frame::{AuroraPresence, MotionKind};

use super::report::SortedMeasures;
use crate::{CheckReport, CheckedScene};

/// What is known of the aurora in a frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct SeenAurora {
    pub(super) presence: AuroraPresence,
    /// 0..1.
    pub(super) probability: f64,
    pub(super) brightest_kr: Option<f64>,
    /// Share of the sky, 0..1.
    pub(super) extent: Option<f64>,
}

/// `None` where the check has not looked for it.
pub(super) fn aurora(report: &CheckReport) -> Option<SeenAurora> {
    let aurora = report.aurora.as_ref()?;
    Some(SeenAurora {
        presence: aurora.present,
        probability: aurora.probability,
        brightest_kr: aurora.brightest_kr.map(|brightest| brightest.value),
        extent: aurora.extent.map(|extent| extent.value),
    })
}

/// Cloud as a share of the sky with its 68 % range: value, low, high.
pub(super) fn cloud(report: &CheckReport) -> Option<(f64, f64, f64)> {
    report.cloud_fraction.map(|cloud| (cloud.value, cloud.low, cloud.high))
}

/// Whether the moon lights the sky.
pub(super) fn is_moonlit(report: &CheckReport) -> Option<bool> {
    report.moonlit
}

/// Whether the frame is of the night.
pub(super) fn is_night(report: &CheckReport) -> bool {
    match report.scene {
        CheckedScene::NightSky | CheckedScene::Moonlit | CheckedScene::Dark => true,
        CheckedScene::Twilight
        | CheckedScene::Day
        | CheckedScene::NotAPhotograph
        | CheckedScene::Unreadable
        | CheckedScene::CannotTell => false,
    }
}

/// Whether it can be night in a frame: what makes a night's frame a dud says nothing of one of day.
pub(super) fn is_dark_hour(report: &CheckReport) -> bool {
    is_night(report) || report.scene == CheckedScene::CannotTell
}

/// Whether a frame is one of those that a night is sorted for. Lamplight has the brightness of twilight: that counts with
/// stars, or where place and time say so.
pub(super) fn is_of_the_night(report: &CheckReport) -> bool {
    let has_aurora = aurora(report).is_some_and(|aurora| aurora.presence == AuroraPresence::Yes);
    let is_night = match report.scene {
        CheckedScene::NightSky | CheckedScene::Moonlit => true,
        CheckedScene::Twilight => hfd_px(report).is_some() || report.moonlit.is_some(),
        CheckedScene::Day
        | CheckedScene::Dark
        | CheckedScene::NotAPhotograph
        | CheckedScene::Unreadable
        | CheckedScene::CannotTell => false,
    };
    has_aurora || is_night
}

/// Whether an aurora could be seen at that hour.
pub(super) fn may_show_aurora(report: &CheckReport) -> bool {
    match report.scene {
        CheckedScene::NightSky | CheckedScene::Moonlit | CheckedScene::Twilight | CheckedScene::CannotTell => true,
        CheckedScene::Dark | CheckedScene::Day | CheckedScene::NotAPhotograph | CheckedScene::Unreadable => false,
    }
}

/// Whether it says something of a frame that no aurora was found in it: not by day, and in the light of twilight only where
/// stars show through it.
pub(super) fn misses_aurora(report: &CheckReport) -> bool {
    match report.scene {
        CheckedScene::NightSky | CheckedScene::Moonlit | CheckedScene::CannotTell => true,
        CheckedScene::Twilight => hfd_px(report).is_some(),
        CheckedScene::Dark | CheckedScene::Day | CheckedScene::NotAPhotograph | CheckedScene::Unreadable => false,
    }
}

/// Width of the stars, px, where the check trusts them to be stars.
pub(super) fn hfd_px(report: &CheckReport) -> Option<f64> {
    let width = report.focus.as_ref().and_then(|focus| focus.hfd_px).map(|hfd| hfd.value);
    width.filter(|hfd| hfd.is_finite() && *hfd > 0.0)
}

/// Length of trails, px: 0 where nothing moved, `None` where that cannot be told.
pub(super) fn trail_px(report: &CheckReport) -> Option<f64> {
    let motion = report.motion.as_ref()?;
    match motion.kind {
        MotionKind::Held | MotionKind::Lens => Some(0.0),
        MotionKind::Trailing | MotionKind::Shaken | MotionKind::Turned | MotionKind::SkyOrCamera => {
            motion.length_px.map(|length| length.value)
        }
        MotionKind::CannotTell => None,
    }
}

/// Whether the shape of the stars is that of the focus alone.
pub(super) fn held(report: &CheckReport) -> bool {
    report.motion.as_ref().is_some_and(|motion| matches!(motion.kind, MotionKind::Held | MotionKind::Lens))
}

/// Whether the stars are discs or rings: by their shape, for a width of so many pixels is another thing with every lens.
pub(super) fn is_defocused(report: &CheckReport) -> bool {
    report.focus.as_ref().is_some_and(|focus| focus.disc)
}

/// Level of the sky from mid-grey, stops.
pub(super) fn sky_stops(report: &CheckReport) -> Option<f64> {
    report.sky.map(|sky| sky.mid_grey_stops.value)
}

/// Share of full pixels in the sky, of the channel with most.
pub(super) fn clipped_share(report: &CheckReport) -> Option<f64> {
    report.clipping.iter().map(|channel| channel.sky_share).reduce(f64::max)
}

/// Stops of light that the settings let in, against 1 s, f/1 and ISO 100.
pub(super) fn setting_stops(report: &CheckReport) -> Option<f64> {
    let settings = &report.settings;
    let product = settings.exposure_s? * settings.iso? / 100.0 / settings.f_number.unwrap_or(1.0).powi(2);
    (product > 0.0).then(|| product.log2())
}

/// Whether the file breaks off before its picture ends.
pub(super) fn is_cut_short(report: &CheckReport) -> bool {
    report.notes.iter().any(|note| note.starts_with(crate::check::CUT_SHORT))
}

/// The row of a table.
pub(super) fn row(report: &CheckReport) -> SortedMeasures {
    let aurora = aurora(report);
    let lens = report.lens.as_ref().filter(|lens| lens.solved);
    SortedMeasures {
        scene: Some(report.scene),
        exposure_s: report.settings.exposure_s,
        iso: report.settings.iso,
        f_number: report.settings.f_number,
        focal_mm: report.settings.focal_mm,
        stars: (report.scene != CheckedScene::Unreadable).then_some(report.stars.count),
        hfd_px: hfd_px(report),
        elongation: report.stars.elongation,
        trail_px: trail_px(report),
        sky_stops: sky_stops(report),
        clipped_share: clipped_share(report),
        cloud_fraction: cloud(report).map(|cloud| cloud.0),
        cloud_method: report.cloud_method,
        aurora_probability: aurora.map(|aurora| aurora.probability),
        aurora_brightest_kr: aurora.and_then(|aurora| aurora.brightest_kr),
        aurora_extent: aurora.and_then(|aurora| aurora.extent),
        ra_deg: lens.and_then(|lens| lens.ra_deg),
        dec_deg: lens.and_then(|lens| lens.dec_deg),
        lamp_share: None,
        glare_share: None,
    }
}
