//! Where the light is greener, redder or more violet than any continuum makes it.

use super::context::{AuroraContext, StarsSeen};
use super::grid::{quantile, ramp};
use super::own_light::{OwnLight, own_light};
use super::shape::Axes;
use super::tint::Tints;

/// Greenness of natural skies, developed: skies of day, dusk, moon and town lie between -0.10 and 0.12 (measured on drawn
/// and real ones; cameras and white balances differ by about as much).
const NATURAL_DEVELOPED: [f64; 2] = [-0.12, 0.14];
/// The same in linear numbers without white balance: half the logarithm of the gains that cameras use, 1.3 to 2.5 for red
/// and 1.2 to 2 for blue (common practice, no source).
const NATURAL_LINEAR: [f64; 2] = [0.22, 0.80];
/// Least difference from the sky's own greenness that is looked at: twilight and moonlit cloud differ by as much.
const LEAST_TINT: f64 = 0.06;
/// Errors that it must be, too.
const LEAST_SIGMAS: f64 = 4.0;
/// Difference at which green light is beyond doubt: 1 kR of 557.7 on the darkest sky doubles the green, ln 2 = 0.7 before
/// development and a third of it after; nothing in a natural sky makes a third of that.
const SURE_GREEN: f64 = 0.26;
/// The same for red and violet: mixed light of dusk and lamps reaches 0.19 (black bodies of 2000 and 15 000 K in equal
/// parts, computed).
const SURE_RED: f64 = 0.27;
/// Share of full scale from which a channel may be cut off in a part of a cell's pixels, or bent by a tone curve.
const CUT_OFF_FROM: f64 = 0.85;
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
/// Share of the free cells that natural colours must have to serve as the reference.
const LEAST_REFERENCE: f64 = 0.05;

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

/// All line light of a picture.
pub(super) struct LineLight {
    pub(super) hues: Vec<HueLight>,
    /// Warmth of the sky itself.
    pub(super) own_warm: f64,
    /// Whether the reference was seen, and not only assumed.
    pub(super) has_reference: bool,
    /// The sky's own level, by channel of the map.
    pub(super) own: [OwnLight; 3],
    /// Median error of a tint.
    pub(super) sigma: f64,
    /// Median green level of the sky in natural colours.
    pub(super) natural_level: f64,
    /// Logarithm of what the brightest twentieth of the sky has over the sky's smooth level.
    pub(super) contrast: f64,
    /// Colour of the most coloured twentieth of the sky, as a difference of tint or warmth from the sky's own.
    pub(super) colourfulness: f64,
    /// Cells coloured like line light that are darker than the sky around: painted, not shining.
    pub(super) dark_share: f64,
    /// Share of the sky that is at full scale in some channel, or near.
    pub(super) cut_off_share: f64,
    /// 5 % to 95 % range of warmth, where colours are natural.
    pub(super) warm_range: f64,
}

impl LineLight {
    pub(super) fn of(tints: &Tints, context: &AuroraContext<'_>) -> Self {
        let is_wide = context.is_linear && context.neutral.is_none();
        let natural = if is_wide { NATURAL_LINEAR } else { NATURAL_DEVELOPED };
        let (own_green, has_reference) = reference(tints, natural, is_wide);
        let sigma = quantile(tints.sigma.iter().copied(), 0.5).unwrap_or(0.0);
        let near = |cell: &usize| (tints.green[*cell] - own_green).abs() < LEAST_TINT.max(LEAST_SIGMAS * sigma);
        let own_cells: Vec<usize> = (0..tints.green.len()).filter(|cell| tints.usable[*cell]).filter(near).collect();
        let all_warm = || (0..tints.warm.len()).filter(|cell| tints.usable[*cell]).map(|cell| tints.warm[cell]);
        let own_warm = quantile(own_cells.iter().map(|cell| tints.warm[*cell]), 0.5)
            .or_else(|| quantile(all_warm(), 0.5))
            .unwrap_or(0.0);
        let mut coloured: Vec<Option<Hue>> =
            (0..tints.green.len()).map(|cell| hue(tints, cell, own_green, own_warm)).collect();
        let free: Vec<bool> =
            coloured.iter().zip(&tints.usable).map(|(hue, usable)| *usable && hue.is_none()).collect();
        let plane = |i: usize| -> Vec<f64> { tints.rgb.iter().map(|rgb| rgb[i]).collect() };
        let own = [0, 1, 2].map(|i| own_light(tints.grid, &plane(i), &tints.usable, &free));
        let mut dark = 0usize;
        for (cell, hue) in coloured.iter_mut().enumerate() {
            let Some(found) = *hue else { continue };
            let shines = |i: usize| tints.rgb[cell][i] > own[i].level[cell];
            let is_light = match found {
                Hue::Green => shines(1),
                Hue::Red => shines(0),
                Hue::Violet => shines(2),
            };
            if !is_light {
                *hue = None;
                dark += 1;
            }
        }
        let sky = tints.usable_count().max(1) as f64;
        let hues = [Hue::Green, Hue::Red, Hue::Violet]
            .into_iter()
            .filter_map(|hue| hue_light(tints, &coloured, hue, [own_green, own_warm], sky))
            .collect();
        let free_warm = || (0..free.len()).filter(|cell| free[*cell]).map(|cell| tints.warm[cell]);
        let warm_range = quantile(free_warm(), 0.95).unwrap_or(0.0) - quantile(free_warm(), 0.05).unwrap_or(0.0);
        let dark_share = dark as f64 / sky;
        let natural = (0..free.len()).filter(|cell| free[*cell]).map(|cell| tints.rgb[cell][1]);
        let natural_level = quantile(natural, 0.5).unwrap_or(0.0);
        let usable = || (0..free.len()).filter(|cell| tints.usable[*cell]);
        let over = usable().map(|cell| (tints.rgb[cell][1] / own[1].level[cell]).ln());
        let contrast = quantile(over, 0.95).unwrap_or(0.0);
        let colour = |cell: usize| (tints.green[cell] - own_green).abs().max((tints.warm[cell] - own_warm).abs());
        let colourfulness = quantile(usable().map(colour), 0.95).unwrap_or(0.0);
        let cut_off = |cell: &usize| tints.rgb[*cell].iter().any(|value| *value >= CUT_OFF_FROM);
        let cut_off_share =
            (0..tints.rgb.len()).filter(|cell| tints.usable[*cell]).filter(cut_off).count() as f64 / sky;
        Self {
            hues,
            own_warm,
            has_reference,
            own,
            sigma,
            natural_level,
            contrast,
            colourfulness,
            dark_share,
            cut_off_share,
            warm_range,
        }
    }

    pub(super) fn hue(&self, hue: Hue) -> Option<&HueLight> {
        self.hues.iter().find(|light| light.hue == hue)
    }

    /// Whether stars were seen clearly enough to lean on.
    pub(super) fn trust_in_red(context: &AuroraContext<'_>) -> f64 {
        match context.stars {
            StarsSeen::Sure => 1.0,
            StarsSeen::NotAsked => 0.8,
            StarsSeen::Doubtful => 0.6,
            StarsSeen::None => 0.5,
        }
    }
}

/// The sky's own greenness: of the cells with natural colours, or the nearest natural value.
fn reference(tints: &Tints, [low, high]: [f64; 2], is_wide: bool) -> (f64, bool) {
    let all = || tints.green.iter().copied().filter(|green| green.is_finite());
    let inside: Vec<f64> = all().filter(|green| (low..=high).contains(green)).collect();
    let count = tints.usable_count().max(1) as f64;
    // where the range is wide, weak aurora lies inside it too
    let place = if is_wide { 0.25 } else { 0.5 };
    match quantile(inside.iter().copied(), place) {
        Some(own) if inside.len() as f64 >= LEAST_REFERENCE * count => (own, true),
        _ => (quantile(all(), 0.5).unwrap_or(0.0).clamp(low, high), false),
    }
}

fn hue(tints: &Tints, cell: usize, own_green: f64, own_warm: f64) -> Option<Hue> {
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

fn hue_light(
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
