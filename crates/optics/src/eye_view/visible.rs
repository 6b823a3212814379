//! Which details of a view are seen: by size, contrast and acuity.

use super::acuity::{acuity_cycles_per_deg, contrast_left};
use super::grid::Grid;
use super::{EyeObserver, single};
use crate::eye::{EyeBackground, SOFT_EDGE_FACTOR, visible_threshold, visible_threshold_after, waiting_loss};
use crate::mesopic::mesopic;

/// V'(555 nm) as CIE 191 uses it.
const ROD_WEIGHT_AT_555: f64 = 683.0 / 1699.0;
/// Spread of the weights that make level k of the pyramid, in cells of the view times 2^k: (4^k - 1)/3 in all.
const SPREAD: f64 = 0.577_350_269;
/// Share of a disc's contrast that a step must hold for the disc to be at its threshold. The step that fits a disc best holds 0.47
/// of it (the highest of exp(-u/4) - exp(-u)); its neighbours hold the rest and lose more: with this number half of the whole is
/// left at the published threshold (a test).
const RESPONSE_AT_THRESHOLD: f64 = 0.36;
/// Radius of the disc that fits a step best, in the step's spreads: root of 2 u, u = ln 4 / 0.75.
const DISC_RADIUS: f64 = 1.92;
/// Frequency at which a step of the pyramid responds most, cycles per spread.
const PEAK_FREQUENCY: f64 = 0.153;
/// Spreads between which the want of edges sets in, degrees: a hand, and a quarter of the sky (judgement).
const EDGES_FROM_DEG: f64 = 1.5;
const NO_EDGES_FROM_DEG: f64 = 6.0;
/// Lowest level on which thresholds and the share of the cones are worked out: four cells to a side.
const FINEST_SURROUNDINGS: usize = 2;
/// Share of a step's contrast below which the step is passed over: it changes no byte of the picture, and on a dark night it is the
/// finest steps, which are most of the work.
const LEAST_LEFT: f32 = 1.0 / 1024.0;
/// A patch that is the whole view, square degrees.
const WHOLE_VIEW_DEG2: f64 = 1000.0;

/// What holds for a place: thresholds of both systems, the cones' share in what is seen, and how much acuity leaves of a contrast.
#[derive(Debug, Clone, Copy)]
struct Place {
    rods: f32,
    cones: f32,
    cone_share: f32,
    left: f32,
}

/// Luminance as seen, cd m⁻², mesopic.
pub(super) fn seen(photopic: Grid, scotopic: Grid, cell_deg: f64, observer: &EyeObserver) -> Grid {
    let photopic = pyramid(photopic);
    let scotopic = pyramid(scotopic);
    let top = photopic.len() - 1;
    let mut seen = whole_view(&photopic[top], &scotopic[top], observer);
    for level in (0..top).rev() {
        let around = (level + 1).max(FINEST_SURROUNDINGS).min(top);
        let step = Step { level, around, cell_deg, observer };
        let (width, height) = (photopic[level].width, photopic[level].height);
        seen = seen.doubled(width, height);
        let columns = photopic[around].width;
        let places = step.places(&photopic[around], &scotopic[around]);
        let mut coarse = [Vec::new(), Vec::new()];
        for y in 0..height {
            let row = (y >> step.down()).min(photopic[around].height - 1) * columns;
            let places = &places[row..row + columns];
            if places.iter().all(|place| place.left < LEAST_LEFT) {
                continue;
            }
            for (coarse, pyramid) in coarse.iter_mut().zip([&photopic, &scotopic]) {
                pyramid[level + 1].doubled_row(y, width, coarse);
            }
            let cells = y * width..(y + 1) * width;
            let seen = &mut seen.values[cells.clone()];
            let fine = [&photopic[level].values[cells.clone()], &scotopic[level].values[cells]];
            for (x, value) in seen.iter_mut().enumerate() {
                let place = places[(x >> step.down()).min(columns - 1)];
                if place.left >= LEAST_LEFT {
                    let details = [fine[0][x] - coarse[0][x], fine[1][x] - coarse[1][x]];
                    *value = (*value + place.left * place.kept(details)).max(0.0);
                }
            }
        }
    }
    seen
}

fn pyramid(finest: Grid) -> Vec<Grid> {
    let mut levels = vec![finest];
    while let Some(last) = levels.last().filter(|last| last.width.max(last.height) > 1) {
        let half = last.halved();
        levels.push(half);
    }
    levels
}

/// The view's own light without any detail: dark where it is below what an eye sees at all.
fn whole_view(photopic: &Grid, scotopic: &Grid, observer: &EyeObserver) -> Grid {
    let dark = EyeBackground { photopic_cd_m2: 0.0, scotopic_cd_m2: 0.0 };
    let least =
        visible_threshold_after(dark, WHOLE_VIEW_DEG2, observer.field_factor, observer.minutes_since_white_light);
    let of = |(p, s): (&f32, &f32)| {
        let (p, s) = (f64::from(*p), f64::from(*s));
        let cones = shares(mesopic(p, s).cone_share);
        single(
            cones * p * kept_share(p / least.cone_photopic_cd_m2)
                + (1.0 - cones) * s * kept_share(s / least.rod_scotopic_cd_m2),
        )
    };
    let values = photopic.values.iter().zip(&scotopic.values).map(of).collect();
    Grid { width: photopic.width, height: photopic.height, values }
}

/// Weight of the photopic luminance in the mesopic one, from the adaptation coefficient m (CIE 191).
fn shares(m: f64) -> f64 {
    m / (m + (1.0 - m) * ROD_WEIGHT_AT_555)
}

/// Share of a detail that is left at a contrast of so many thresholds: the share of looks that find it, a normal ogive with a
/// deviation of half the threshold (Blackwell 1946, from memory), half at 1, written as a cubic.
fn kept_share(ratio: f64) -> f64 {
    let x = (0.5 * ratio).clamp(0.0, 1.0);
    x * x * (3.0 - 2.0 * x)
}

/// One step down the pyramid.
struct Step<'a> {
    level: usize,
    /// Level of the surroundings.
    around: usize,
    cell_deg: f64,
    observer: &'a EyeObserver,
}

impl Step<'_> {
    fn spread_deg(&self) -> f64 {
        SPREAD * f64::from(1u32 << self.level.min(31)) * self.cell_deg
    }

    fn places(&self, photopic: &Grid, scotopic: &Grid) -> Vec<Place> {
        let spread = self.spread_deg();
        let patch_deg2 = std::f64::consts::PI * (DISC_RADIUS * spread).powi(2);
        let edges = ((spread / EDGES_FROM_DEG).ln() / (NO_EDGES_FROM_DEG / EDGES_FROM_DEG).ln()).clamp(0.0, 1.0);
        let scale = RESPONSE_AT_THRESHOLD * SOFT_EDGE_FACTOR.powf(edges);
        let frequency = PEAK_FREQUENCY / spread;
        let factor = self.observer.field_factor;
        let waiting = waiting_loss(patch_deg2, factor, self.observer.minutes_since_white_light);
        let of = |(p, s): (&f32, &f32)| {
            let background = EyeBackground { photopic_cd_m2: f64::from(*p), scotopic_cd_m2: f64::from(*s) };
            let mixed = mesopic(background.photopic_cd_m2, background.scotopic_cd_m2);
            let left = single(contrast_left(frequency, acuity_cycles_per_deg(mixed.luminance_cd_m2)));
            if left < LEAST_LEFT {
                // nothing of the step is shown there: its thresholds are not asked
                return Place { rods: 1.0, cones: 1.0, cone_share: 0.0, left };
            }
            let threshold = visible_threshold(background, patch_deg2, factor).plus(waiting).scaled(scale);
            Place {
                rods: single(threshold.rod_scotopic_cd_m2),
                cones: single(threshold.cone_photopic_cd_m2),
                cone_share: single(shares(mixed.cone_share)),
                left,
            }
        };
        photopic.values.iter().zip(&scotopic.values).map(of).collect()
    }

    /// Halvings from a cell to its surroundings.
    fn down(&self) -> usize {
        self.around - self.level
    }
}

impl Place {
    /// What is left of a detail, mesopic: each system's own by its own threshold. Where the cones see better than the rods (red
    /// light), what rods are to show is what the cones see, as far above threshold.
    fn kept(&self, [photopic, scotopic]: [f32; 2]) -> f32 {
        let (by_cones, by_rods) = (photopic.abs() / self.cones, scotopic.abs() / self.rods);
        let cones = photopic * share(by_cones);
        let rods =
            if by_rods >= by_cones { scotopic * share(by_rods) } else { cones * (self.rods / self.cones).min(1.0) };
        self.cone_share * cones + (1.0 - self.cone_share) * rods
    }
}

/// [`kept_share`] for one of many cells.
fn share(ratio: f32) -> f32 {
    let x = (0.5 * ratio).min(1.0);
    x * x * (3.0 - 2.0 * x)
}
