//! The view in numbers: what vanished, what stayed grey, what had colour.

use quantity::LineBrightness;
use serde::{Deserialize, Serialize};

use super::{EyeObserver, EyeScene};
use crate::eye::{EyeBackground, LAMP_SP_RATIO, colour_saturation, visible_threshold_after};
use crate::luminance::photopic_cd_m2;

/// Side of a patch over which brightness is averaged, degrees: an eye in the dark sees no finer patch of faint light.
const PATCH_DEG: f64 = 0.7;
/// Patch whose threshold is asked, square degrees: a hand at arm's length.
const HAND_DEG2: f64 = 10.0;
/// Brightness from which a patch counts as aurora, kR: a third of the faintest that is seen in the darkest sky.
const LEAST_KR: f64 = 0.1;
/// Saturation from which colour is plain: half of it.
const PLAIN_FROM_SATURATION: f64 = 0.5;

/// How an aurora looks to somebody.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SeenAs {
    /// Not at all.
    Nothing,
    /// A grey glow.
    Grey,
    /// A hint of colour.
    HintOfColour,
    /// Plain colour.
    PlainColour,
}

/// How a wide patch of aurora without sharp edges looks on a background.
pub fn seen_as(lines: &LineBrightness, background: EyeBackground, observer: &EyeObserver) -> SeenAs {
    let (factor, minutes) = (observer.field_factor, observer.minutes_since_white_light);
    let threshold = visible_threshold_after(background, HAND_DEG2, factor, minutes).soft_edged();
    // Not a number is not seen.
    if threshold.visibility(lines).best() >= 1.0 {
        let saturation = colour_saturation(photopic_cd_m2(lines));
        if saturation >= PLAIN_FROM_SATURATION {
            SeenAs::PlainColour
        } else if saturation > 0.0 {
            SeenAs::HintOfColour
        } else {
            SeenAs::Grey
        }
    } else {
        SeenAs::Nothing
    }
}

/// One ninth of the view.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct EyeRegion {
    /// Third across, 0 is the left.
    pub column: usize,
    /// Third down, 0 is the top.
    pub row: usize,
    /// 557.7 nm of its brightest patch at the ground, kR.
    pub brightest_green_kr: f64,
    /// How that patch looks.
    pub seen_as: SeenAs,
}

/// What a view holds. Shares are of the patches with aurora and add up to 1.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct EyeStatistics {
    /// Share of the view that has aurora of more than 0.1 kR, 0..=1.
    pub aurora_share: f64,
    /// Not seen.
    pub vanished: f64,
    /// Seen grey.
    pub grey: f64,
    /// With a hint of colour.
    pub hint_of_colour: f64,
    /// In plain colour.
    pub plain_colour: f64,
    /// The ninths that have aurora, row by row.
    pub regions: Vec<EyeRegion>,
}

pub(super) fn of(scene: &EyeScene, observer: &EyeObserver) -> EyeStatistics {
    let side = patch_cells(scene.cell_deg);
    let (columns, rows) = (scene.width.div_ceil(side), scene.height.div_ceil(side));
    let mut counts = [0usize; 4];
    let mut regions: [Option<EyeRegion>; 9] = [None; 9];
    for row in 0..rows {
        for column in 0..columns {
            let (lines, other) = patch(scene, [column * side, row * side], side);
            if lines.blue_4278_kr + lines.green_5577_kr + lines.red_6300_kr < LEAST_KR {
                continue;
            }
            let background = EyeBackground { photopic_cd_m2: other, scotopic_cd_m2: LAMP_SP_RATIO * other };
            let seen_as = seen_as(&lines, background, observer);
            counts[seen_as as usize] += 1;
            let third = [3 * column / columns, 3 * row / rows];
            let region = &mut regions[3 * third[1] + third[0]];
            if region.is_none_or(|region| lines.green_5577_kr > region.brightest_green_kr) {
                let brightest_green_kr = lines.green_5577_kr;
                *region = Some(EyeRegion { column: third[0], row: third[1], brightest_green_kr, seen_as });
            }
        }
    }
    let all: usize = counts.iter().sum();
    let share = |count: usize| count as f64 / all.max(1) as f64;
    EyeStatistics {
        aurora_share: all as f64 / (columns * rows) as f64,
        vanished: share(counts[0]),
        grey: share(counts[1]),
        hint_of_colour: share(counts[2]),
        plain_colour: share(counts[3]),
        regions: regions.into_iter().flatten().collect(),
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small count of at least 1")]
fn patch_cells(cell_deg: f64) -> usize {
    (PATCH_DEG / cell_deg).round().max(1.0) as usize
}

/// Mean lines and other luminance of a patch.
fn patch(scene: &EyeScene, [left, top]: [usize; 2], side: usize) -> (LineBrightness, f64) {
    let (mut sums, mut other, mut count) = ([0.0; 3], 0.0, 0.0);
    for y in top..(top + side).min(scene.height) {
        for x in left..(left + side).min(scene.width) {
            let cell = y * scene.width + x;
            let lines = scene.lines(cell);
            for (sum, kr) in sums.iter_mut().zip([lines.blue_4278_kr, lines.green_5577_kr, lines.red_6300_kr]) {
                *sum += kr;
            }
            other += scene.other_luminance_cd_m2(cell);
            count += 1.0;
        }
    }
    let [blue_4278_kr, green_5577_kr, red_6300_kr] = sums.map(|sum: f64| sum / count);
    (LineBrightness { blue_4278_kr, green_5577_kr, red_6300_kr }, other / count)
}
