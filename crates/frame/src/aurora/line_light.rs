//! Where the light is greener, redder or more violet than any continuum makes it.

use super::context::{AuroraContext, StarsSeen};
use super::grid::quantile;
use super::hue::{CUT_OFF_FROM, Hue, HueLight, LEAST_SIGMAS, LEAST_TINT, hue, hue_light};
use super::own_light::{OwnLight, own_light};
use super::tint::Tints;

/// Greenness of natural skies, developed: skies of day, dusk, moon and town lie between -0.10 and 0.12 (measured on drawn
/// and real ones; cameras and white balances differ by about as much).
const NATURAL_DEVELOPED: [f64; 2] = [-0.12, 0.14];
/// The same in linear numbers without white balance: half the logarithm of the gains that cameras use, 1.3 to 2.5 for red
/// and 1.2 to 2 for blue (common practice, no source).
const NATURAL_LINEAR: [f64; 2] = [0.22, 0.80];
/// Share of the free cells that natural colours must have to serve as the reference.
const LEAST_REFERENCE: f64 = 0.05;

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
    /// Logarithm of what the brightest twentieth of the sky has over the sky around, an eighth of the map.
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
        let around =
            tints.grid.smoothed(&plane(1), &tints.usable, (tints.grid.columns.max(tints.grid.rows) / 16).max(2));
        let over = usable().map(|cell| (tints.rgb[cell][1] / around[cell]).ln());
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
