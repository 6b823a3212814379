//! Sky and foreground of a frame, cell by cell.

mod circle;
mod classes;
mod edge;
pub(crate) mod features;
mod settle;
mod skyline;
mod spokes;

use quantity::{Basis, Estimate};
use serde::{Deserialize, Serialize};

use crate::{LensSolution, LightMap, Orientation, StarField};
pub use circle::SkyCircle;
use edge::Edge;
pub(crate) use features::Features;
use spokes::Spokes;

/// What a cell of a frame shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CellKind {
    /// Sky, with all that is in it.
    Sky,
    /// Land, water, trees, buildings, masks.
    Foreground,
    /// Outside the circle that a fisheye draws.
    Outside,
    /// A small burnt-out light on the ground.
    Lamp,
}

/// Sky and foreground over a frame as stored.
#[derive(Debug, Clone, PartialEq)]
pub struct SkyMask {
    /// Cells across.
    pub columns: usize,
    /// Cells down.
    pub rows: usize,
    /// Side of a cell, px of the frame.
    pub cell_px: f64,
    /// What each cell shows, row by row.
    pub kinds: Vec<CellKind>,
    /// The fisheye's circle, where there is one.
    pub circle: Option<SkyCircle>,
    /// Share of the picture (of the circle, where there is one) that is not sky, 0..1; `None` where it cannot be told
    /// whether there is any sky.
    pub foreground_share: Option<Estimate>,
    /// Why that is said, or not.
    pub why: String,
}

/// Sharpest feature's step over the line from which it is a skyline: drawn and real ones have 4 to 15 times the steps that the
/// sky makes by itself, lines through clouds, vignetting and glow 1 to 3.
const LEAST_STEP: f64 = 3.5;
/// Share of the spokes that must cross the line within the frame: columns, and radii of a circle, of which a mask may cover few.
const LEAST_CROSSED: f64 = 0.3;
const LEAST_CROSSED_CIRCLE: f64 = 0.12;
/// Light of sky over that of ground from which the ground is a silhouette (natural logarithm): four and a half times.
const SILHOUETTE: f64 = 1.5;
/// Texture of a smooth sky over its light (natural logarithm), and how much rougher the ground must be.
const SMOOTH_SKY: f64 = -3.0;
const ROUGHER_GROUND: f64 = 0.5;
/// Light of a smooth sky over that of the ground, at least (natural logarithm): a blue sky over a white wall has -1.2.
const DARKEST_SKY: f64 = -1.5;
/// Stars in the ground over those in as much sky beside the line, at most: branches and lamps make some.
const MOST_STARS_IN_GROUND: f64 = 0.5;
/// Foreground of a picture of stars in which no skyline is found, and one deviation upwards: a dark one may go unnoticed.
const NO_SKYLINE: f64 = 0.0;
const NO_SKYLINE_UP: f64 = 0.08;
/// The same for a fisheye, whose rim always holds some horizon (judgement: 2 to 10 % of the circle).
const RIM_SHARE: f64 = 0.05;
const RIM_SIGMA: f64 = 0.05;
/// Share of a fisheye's circle without light from which a mask is told, and its deviation.
const LEAST_MASK_SHARE: f64 = 0.04;
const MASK_SIGMA: f64 = 0.05;
/// Deviation of a skyline's share beyond the looseness of its line: trees and water are drawn as a line.
const LINE_SIGMA: f64 = 0.03;

impl SkyMask {
    /// Tells sky from foreground.
    ///
    /// * `cells`: light over the frame.
    /// * `field`: stars of a plane of the same size as the frame.
    /// * `lens`: lens and direction, where the stars say so; with time and place what lies below the horizon is ground.
    /// * `orientation`: how the frame is shown: ground is below.
    pub fn of(cells: &LightMap, field: &StarField, lens: Option<&LensSolution>, orientation: Orientation) -> Self {
        Self::of_features(&Features::of(cells, field), cells, lens, orientation)
    }

    pub(crate) fn of_features(
        features: &Features,
        cells: &LightMap,
        lens: Option<&LensSolution>,
        orientation: Orientation,
    ) -> Self {
        let (circle, is_lit) = circle::find(features).unzip();
        let spokes =
            circle.as_ref().map_or_else(|| Spokes::upright(features, orientation), |c| Spokes::of_circle(features, c));
        let found = settle::skyline(features, &spokes, lens);
        let believed = found.filter(|found| {
            let crossed = if circle.is_some() { LEAST_CROSSED_CIRCLE } else { LEAST_CROSSED };
            is_skyline(&Edge::of(features, &spokes, &found.line), features, crossed)
        });
        let whole = || spokes.cells.iter().map(Vec::len).collect();
        let to_mask: Vec<usize> = is_lit.map_or_else(whole, |is_lit| spokes.ends_of_light(&is_lit));
        let line: Vec<usize> = match &believed {
            Some(found) => found.line.iter().zip(&to_mask).map(|(end, mask)| *end.min(mask)).collect(),
            None => to_mask,
        };
        let sky = spokes.sky(&line);
        let inside = sky.iter().flatten().count().max(1) as f64;
        let share = sky.iter().flatten().filter(|sky| !**sky).count() as f64 / inside;
        let (foreground_share, why) = match (&believed, &circle) {
            (Some(found), _) => {
                let sigma = found.looseness.hypot(LINE_SIGMA);
                let range = Estimate {
                    value: share,
                    low: (share - sigma).max(0.0),
                    high: (share + sigma).min(1.0),
                    basis: Basis::Model,
                };
                (Some(range), "a line divides the picture by light, texture, colour and stars")
            }
            (None, Some(_)) if share > LEAST_MASK_SHARE => (
                Some(Estimate {
                    value: share,
                    low: (share - MASK_SIGMA).max(0.0),
                    high: (share + MASK_SIGMA).min(1.0),
                    basis: Basis::Model,
                }),
                "a part of the fisheye's circle is masked: no light at all",
            ),
            (None, Some(_)) => (
                Some(Estimate {
                    value: RIM_SHARE,
                    low: RIM_SHARE - RIM_SIGMA,
                    high: RIM_SHARE + RIM_SIGMA,
                    basis: Basis::Assumed,
                }),
                "a fisheye's circle without a clear skyline: no more than its rim",
            ),
            (None, None) if features.has_stars_all_over() => (
                Some(Estimate { value: NO_SKYLINE, low: NO_SKYLINE, high: NO_SKYLINE_UP, basis: Basis::Model }),
                "stars all over, and no skyline",
            ),
            (None, None) => (None, "no clear skyline and no stars all over: it cannot be told what is sky"),
        };
        let kinds = (0..cells.columns * cells.rows)
            .map(|i| {
                let j = i / cells.columns / features.merged * features.columns + i % cells.columns / features.merged;
                match sky.get(j).copied().flatten() {
                    None => CellKind::Outside,
                    Some(true) => CellKind::Sky,
                    Some(false) if features.lamp[j] => CellKind::Lamp,
                    Some(false) => CellKind::Foreground,
                }
            })
            .collect();
        Self {
            columns: cells.columns,
            rows: cells.rows,
            cell_px: cells.cell_px,
            kinds,
            circle,
            foreground_share,
            why: why.to_owned(),
        }
    }

    /// What lies at a pixel of the frame; outside beyond its edges.
    pub fn at(&self, [x, y]: [f64; 2]) -> CellKind {
        let [column, row] = [x, y].map(|px| (px + 0.5) / self.cell_px);
        if !(column >= 0.0 && row >= 0.0 && column < self.columns as f64 && row < self.rows as f64) {
            return CellKind::Outside;
        }
        let cell = crate::whole::index(row) * self.columns + crate::whole::index(column);
        self.kinds.get(cell).copied().unwrap_or(CellKind::Outside)
    }

    /// Whether a pixel lies within this share of the fisheye's circle; always where there is none.
    pub(crate) fn is_within(&self, [x, y]: [f64; 2], share: f64) -> bool {
        self.circle.is_none_or(|circle| {
            let [cx, cy] = circle.centre_px;
            ((x - cx) / circle.stretch).hypot(y - cy) <= share * circle.radius_px
        })
    }

    /// Whether each cell is sky, row by row: for [`crate::ChannelLight::quantile`].
    pub fn sky(&self) -> Vec<bool> {
        self.kinds.iter().map(|kind| *kind == CellKind::Sky).collect()
    }
}

/// Whether a line divides sky from ground: sharp, and with the sky on the right side of it.
fn is_skyline(edge: &Edge, features: &Features, least_crossed: f64) -> bool {
    let sharp = edge.steps.iter().any(|step| *step >= LEAST_STEP) && edge.crossed >= least_crossed;
    if !features.stars.is_empty() {
        // stars prove that there is a sky; they must not be as many below the line
        return sharp && edge.stars_in_ground <= MOST_STARS_IN_GROUND;
    }
    let is_sky = edge.brighter_sky >= SILHOUETTE
        || (edge.sky_texture <= SMOOTH_SKY
            && edge.rougher_ground >= ROUGHER_GROUND
            && edge.brighter_sky >= DARKEST_SKY);
    sharp && is_sky
}
