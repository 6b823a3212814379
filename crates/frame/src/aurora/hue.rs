//! Cells of one hue: which are they, how strong, with what edges.

use super::grid::{quantile, ramp};
use super::shape::Axes;
use super::tint::Tints;

/// Least difference from the sky's own greenness that is looked at: twilight and moonlit cloud differ by as much.
pub(super) const LEAST_TINT: f64 = 0.06;
/// Errors that it must be, too.
pub(super) const LEAST_SIGMAS: f64 = 4.0;
/// Difference at which green light is beyond doubt: 1 kR of 557.7 on the darkest sky doubles the green, ln 2 = 0.7 before
/// development and a third of it after; nothing in a natural sky makes a third of that.
const SURE_GREEN: f64 = 0.26;
/// The same for red and violet: mixed light of dusk and lamps reaches 0.19 (black bodies of 2000 and 15 000 K in equal
/// parts, computed).
const SURE_RED: f64 = 0.27;
/// Share of full scale from which a channel may be cut off in a part of a cell's pixels, or bent by a tone curve.
pub(super) const CUT_OFF_FROM: f64 = 0.85;
/// Difference of tint over difference of warmth, in a patch of red: 630.0 nm adds red alone, which makes it a half; sodium
/// light adds a quarter as much green and makes it 0.27 at most (computed from the camera's response).
const RED_PER_WARMTH: [f64; 2] = [0.28, 0.40];
/// Least patch, cells and share of the sky.
const LEAST_PATCH: (usize, f64) = (6, 0.0006);
/// Share of the sky from which a patch counts in full.
const FULL_PATCH_SHARE: f64 = 0.004;
/// Share of rough cells around a patch from which it lies among leaves or houses: an aurora may stand over a tree line with
/// a half of its rim.
const MOST_ROUGH_RIM: f64 = 0.4;

/// The family of a patch of light.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Hue {
    Green,
    Red,
    Violet,
}

/// Light of one hue.
#[derive(Debug, Clone)]
pub(super) struct HueLight {
    pub(super) hue: Hue,
    pub(super) mask: Vec<bool>,
    /// Difference of tint that nine tenths of its cells stay below.
    pub(super) tint: f64,
    /// Share of the sky.
    pub(super) share: f64,
    /// Step of the tint over a fortieth of the map at its edges, as a share of `tint`: near 1 for a sharp edge, under a
    /// quarter for a glow that fades over a third of the picture.
    pub(super) edge: f64,
    /// Length over width of its largest patch.
    pub(super) elongation: f64,
    /// Green level that a quarter of its cells exceed.
    pub(super) level: f64,
    /// 0 to 1: how far beyond any natural light.
    pub(super) strength: f64,
}

/// Whether a cell leaves the natural colours, and which way.
pub(super) fn hue(tints: &Tints, cell: usize, own_green: f64, own_warm: f64) -> Option<Hue> {
    if !tints.usable[cell] {
        return None;
    }
    let tint = tints.green[cell] - own_green;
    let least = LEAST_TINT.max(LEAST_SIGMAS * tints.sigma[cell]);
    match tint {
        // a red or blue that is cut off at full scale leaves too much green
        green if green > least => (tints.rgb[cell][0].max(tints.rgb[cell][2]) < CUT_OFF_FROM).then_some(Hue::Green),
        red if red < -least && tints.warm[cell] >= own_warm => Some(Hue::Red),
        violet if violet < -least => Some(Hue::Violet),
        _ => None,
    }
}

/// Gathers the cells of one hue.
pub(super) fn hue_light(
    tints: &Tints,
    coloured: &[Option<Hue>],
    hue: Hue,
    [own_green, own_warm]: [f64; 2],
    sky: f64,
) -> Option<HueLight> {
    let set: Vec<bool> = coloured.iter().map(|found| *found == Some(hue)).collect();
    let least = LEAST_PATCH.0.max(crate::whole::index(LEAST_PATCH.1 * sky));
    let mut mask = vec![false; set.len()];
    for region in tints.grid.regions(&set, least) {
        if rough_rim(tints, &region.cells) > MOST_ROUGH_RIM {
            continue;
        }
        for cell in region.cells {
            mask[cell] = true;
        }
    }
    let cells: Vec<usize> = (0..mask.len()).filter(|cell| mask[*cell]).collect();
    let tint = quantile(cells.iter().map(|cell| (tints.green[*cell] - own_green).abs()), 0.9)?;
    let share = cells.len() as f64 / sky;
    let sure = if hue == Hue::Green { SURE_GREEN } else { SURE_RED };
    let mut strength = ramp(tint, LEAST_TINT, sure) * ramp(share, 0.0, FULL_PATCH_SHARE).sqrt();
    if hue == Hue::Red {
        let ratio = |cell: usize| (own_green - tints.green[cell]) / (tints.warm[cell] - own_warm).max(1e-6);
        let pure = quantile(cells.iter().map(|cell| ratio(*cell)), 0.5).unwrap_or(0.0);
        strength *= ramp(pure, RED_PER_WARMTH[0], RED_PER_WARMTH[1]);
    }
    let edge = edge(tints, &mask) / tint.max(LEAST_TINT);
    let elongation =
        tints.grid.regions(&mask, 1).first().map_or(1.0, |main| Axes::of(tints.grid, &main.cells).elongation());
    let level = quantile(cells.iter().map(|cell| tints.rgb[*cell][1]), 0.75).unwrap_or(0.0);
    Some(HueLight { hue, mask, tint, share, edge, elongation, level, strength })
}

/// Share of rough cells among those within three of a patch, itself not counted.
fn rough_rim(tints: &Tints, cells: &[usize]) -> f64 {
    let mut seen = vec![false; tints.rough.len()];
    for cell in cells {
        seen[*cell] = true;
    }
    let (mut rough, mut all) = (0.0, 0.0);
    for cell in cells {
        tints.grid.for_around(*cell, 3, |near| {
            if !seen[near] {
                seen[near] = true;
                all += 1.0;
                rough += f64::from(u8::from(tints.rough[near]));
            }
        });
    }
    if all > 0.0 { rough / all } else { 0.0 }
}

/// Largest steps of the tint over a fortieth of the map, in and around a mask.
fn edge(tints: &Tints, mask: &[bool]) -> f64 {
    let grid = tints.grid;
    let reach = (grid.columns.max(grid.rows) / 80).max(1);
    let wide = grid.widened(mask, reach);
    let mut steps = Vec::new();
    for cell in (0..mask.len()).filter(|cell| wide[*cell]) {
        let [column, row] = [cell % grid.columns, cell / grid.columns];
        let mut along = 0.0_f64;
        if column >= reach && column + reach < grid.columns {
            along = along.max((tints.green[cell + reach] - tints.green[cell - reach]).abs());
        }
        if row >= reach && row + reach < grid.rows {
            let down = reach * grid.columns;
            along = along.max((tints.green[cell + down] - tints.green[cell - down]).abs());
        }
        steps.push(along);
    }
    quantile(steps, 0.9).unwrap_or(0.0)
}
