//! Grey pictures: shape and brightness alone.

use super::context::AuroraContext;
use super::finding::{AuroraClue, AuroraRival};
use super::grid::{Grid, quantile, ramp};
use super::judgement::Judgement;
use super::own_light::{OwnLight, own_light};
use super::rivals::Rivals;
use super::shape::{Axes, coherence, gradient};
use super::tint::told_as_sky;
use crate::LightMap;

/// Lines and bands that narrow filters are made for, nm.
const FILTERED_NM: [f64; 8] = [391.4, 427.8, 470.9, 486.1, 557.7, 630.0, 777.4, 844.6];
/// How far a filter's nominal wavelength may lie from one, nm.
const FILTER_NEAR_NM: f64 = 2.5;
/// Contrast against the sky around that is looked at: cloud and Milky Way make as much.
const LEAST_CONTRAST: f64 = 0.08;
/// Contrast that the Milky Way does not reach over a dark sky of its own: 21.0 mag/arcsec2 beside 22.0 is 1.5.
const SURE_CONTRAST: f64 = 1.8;
/// Errors that a contrast must be.
const LEAST_SIGMAS: f64 = 5.0;
/// Share of the map that a black surround has, at least: less is vignetting.
const LEAST_SURROUND: f64 = 0.06;
/// How far the surround may rise towards the level of the sky.
const SURROUND_STEP: f64 = 0.2;
/// Sky under this share of its typical level has no contrast worth the name.
const LEAST_OWN: f64 = 0.1;
/// Light of four steps of 8 bits at black under the sRGB curve: fainter skies are steps, not light.
const STEP_DEVELOPED: f64 = 4.0 / (255.0 * 12.92);
/// Most that shape alone may say without a filter: cloud, town glow and the Milky Way are bright and long too.
const MOST_WITHOUT_FILTER: f64 = 1.2;
/// Galactic latitude within which the Milky Way is bright, degrees.
const MILKY_WAY_DEG: f64 = 15.0;

/// What a grey picture shows.
pub(super) struct Grey {
    pub(super) grid: Grid,
    pub(super) usable: Vec<bool>,
    pub(super) level: Vec<f64>,
    pub(super) own: OwnLight,
    pub(super) mask: Vec<bool>,
    contrast: f64,
    share: f64,
    elongation: f64,
    coherence: f64,
    /// Share of the light that lies along the Milky Way, where the lens is known.
    galactic: Option<f64>,
    sees: f64,
    /// Whether black surrounds the sky.
    is_all_sky: bool,
}

impl Grey {
    pub(super) fn of(map: &LightMap, context: &AuroraContext<'_>) -> Option<Self> {
        let channel = map.green()?;
        let grid = Grid { columns: map.columns, rows: map.rows };
        if channel.medians.len() != grid.cells() || channel.spreads.len() != grid.cells() {
            return None;
        }
        let level: Vec<f64> = channel.medians.iter().map(|level| f64::from(*level)).collect();
        let mut usable = told_as_sky(map, context);
        for cell in 0..grid.cells() {
            usable[cell] &= level[cell].is_finite() && !channel.is_light.get(cell).copied().unwrap_or(false);
        }
        if grid.cells() == 0 {
            return None;
        }
        // cameras of this kind add an offset of their own to every number; what surrounds an all-sky picture shows it
        let surround = without_surround(grid, &level, &mut usable);
        let offset = surround.unwrap_or(0.0);
        let own = own_light(grid, &level, &usable, &usable);
        let typical = quantile((0..level.len()).filter(|cell| usable[*cell]).map(|cell| own.level[cell]), 0.5)?;
        let floor = (LEAST_OWN * (typical - offset)).max(if context.is_linear { 1e-9 } else { STEP_DEVELOPED });
        let contrast: Vec<f64> = (0..level.len())
            .map(|cell| (level[cell] - own.level[cell]) / (own.level[cell] - offset + floor).max(floor))
            .collect();
        let sigma = noise(grid, &contrast, &usable);
        let smooth = grid.smoothed(&contrast, &usable, 1);
        let least = LEAST_CONTRAST.max(LEAST_SIGMAS * 0.5 * sigma);
        let set: Vec<bool> = (0..level.len()).map(|cell| usable[cell] && smooth[cell] > least).collect();
        let sky = usable.iter().filter(|usable| **usable).count().max(1) as f64;
        let regions = grid.regions(&set, 8.max(crate::whole::index(0.003 * sky)));
        let mut mask = vec![false; level.len()];
        for cell in regions.iter().flat_map(|region| &region.cells) {
            mask[*cell] = true;
        }
        let inside = || (0..mask.len()).filter(|cell| mask[*cell]);
        let axes = regions.first().map(|region| Axes::of(grid, &region.cells));
        let rim = grid.widened(&mask, 2);
        let field = grid.smoothed(&contrast, &usable, 1);
        let (coherence, _) =
            coherence((0..rim.len()).filter(|cell| rim[*cell]).filter_map(|cell| gradient(grid, &field, cell)));
        Some(Self {
            contrast: quantile(inside().map(|cell| smooth[cell]), 0.9).unwrap_or(0.0),
            share: inside().count() as f64 / sky,
            elongation: axes.map_or(1.0, |axes| axes.elongation()),
            coherence,
            galactic: galactic(map, context, grid, &mask),
            sees: 1.0 - ramp(LEAST_SIGMAS * 0.5 * sigma, LEAST_CONTRAST, 4.0 * LEAST_CONTRAST),
            is_all_sky: surround.is_some(),
            grid,
            usable,
            level,
            own,
            mask,
        })
    }

    pub(super) fn judge(&self, judgement: &mut Judgement, rivals: &mut Rivals, context: &AuroraContext<'_>) {
        let filter =
            context.filter_nm.is_some_and(|nm| FILTERED_NM.iter().any(|line| (line - nm).abs() <= FILTER_NEAR_NM));
        if self.share <= 0.0 {
            let words = "no structure in the sky's light beyond a smooth slope".to_owned();
            judgement.add(AuroraClue::Structure, -2.6 * self.sees, words);
            return;
        }
        let long = ramp(self.elongation, 1.5, 4.0).max(ramp(self.coherence, 0.3, 0.7));
        let strong = ramp(self.contrast, LEAST_CONTRAST, 0.6);
        let words = format!(
            "{:.0} % of the sky is brighter than a smooth sky by up to {:.0} %, {:.1} times as long as wide",
            100.0 * self.share,
            100.0 * self.contrast,
            self.elongation
        );
        if filter {
            judgement.add(AuroraClue::Brightness, 1.5, "the filter passes little but a line of the aurora".to_owned());
            judgement.add(AuroraClue::Structure, 3.5 * strong * (0.4 + 0.6 * long), words);
            return;
        }
        let sure = ramp(self.contrast, 1.0, SURE_CONTRAST);
        // a narrow field seldom holds patches of the sky alone; over a whole sky they are as large as a hand
        let formless = if self.is_all_sky { -0.5 } else { -2.2 * (1.0 - ramp(strong * long, 0.15, 0.5)) - 0.3 };
        judgement.add(AuroraClue::Structure, (2.0 * strong + 2.0 * sure) * long + formless, words);
        rivals.add(AuroraRival::LitCloud, 0.5 * (1.0 - 0.5 * long), "structure without colour: cloud shows it too");
        rivals.add(AuroraRival::TownGlow, 0.3, "a bright rim without colour: towns make it too");
        if let Some(galactic) = self.galactic {
            rivals.add(AuroraRival::MilkyWay, galactic, "the light lies along the Milky Way");
            judgement.add(
                AuroraClue::Rival,
                -3.0 * ramp(galactic, 0.5, 0.9),
                "the light lies along the Milky Way".into(),
            );
        }
        if context.moon_in_frame == Some(true) {
            rivals.add(AuroraRival::LitCloud, 0.7, "the moon is in the picture");
            judgement.add(AuroraClue::Rival, -1.5, "the moon is in the picture".to_owned());
        }
        judgement.cap(
            MOST_WITHOUT_FILTER,
            AuroraClue::Rival,
            "without colour, cloud and lit haze cannot be told apart",
        );
    }
}

/// Leaves out the black around an all-sky picture: what hangs together with a corner and is as dark. Gives its level.
fn without_surround(grid: Grid, level: &[f64], usable: &mut [bool]) -> Option<f64> {
    let middle = quantile(level.iter().copied(), 0.6)?;
    let mut surround = vec![false; level.len()];
    let mut levels = Vec::new();
    let corners = [0, grid.columns - 1, (grid.rows - 1) * grid.columns, grid.rows * grid.columns - 1];
    for corner in corners {
        let dark = quantile(grid.around(corner, 1).map(|cell| level[cell]), 0.5)?;
        let most = dark + SURROUND_STEP * (middle - dark);
        let mut open = vec![corner];
        while let Some(cell) = open.pop() {
            if surround[cell] || level[cell].is_nan() || level[cell] > most {
                continue;
            }
            surround[cell] = true;
            levels.push(level[cell]);
            open.extend(grid.beside(cell));
        }
    }
    if (levels.len() as f64) < LEAST_SURROUND * level.len() as f64 {
        return None;
    }
    for (usable, dark) in usable.iter_mut().zip(grid.widened(&surround, 2)) {
        *usable &= !dark;
    }
    quantile(levels, 0.5)
}

fn noise(grid: Grid, values: &[f64], usable: &[bool]) -> f64 {
    let steps = (0..values.len()).filter(|cell| usable[*cell]).filter_map(|cell| {
        let right = cell + 1;
        (right % grid.columns != 0 && usable.get(right) == Some(&true)).then(|| (values[cell] - values[right]).abs())
    });
    quantile(steps, 0.5).unwrap_or(0.0) / 0.6745 / std::f64::consts::SQRT_2
}

/// Share of the masked cells near the galactic plane, less what the sky as a whole has.
fn galactic(map: &LightMap, context: &AuroraContext<'_>, grid: Grid, mask: &[bool]) -> Option<f64> {
    /// North galactic pole, J2000 (IAU 1958, as right ascension and declination 192.859, 27.128).
    const POLE_DEG: [f64; 2] = [192.859, 27.128];
    let lens = context.lens?;
    let pole = POLE_DEG.map(f64::to_radians);
    let near = |cell: usize| -> Option<bool> {
        let pixel = grid.place(cell).map(|cells| (cells + 0.5) * map.cell_px - 0.5);
        let [ra, dec] = lens.sky_of(pixel)?.map(f64::to_radians);
        let sine = pole[1].sin() * dec.sin() + pole[1].cos() * dec.cos() * (ra - pole[0]).cos();
        Some(sine.clamp(-1.0, 1.0).asin().to_degrees().abs() < MILKY_WAY_DEG)
    };
    let share = |cells: &mut dyn Iterator<Item = usize>| {
        let found: Vec<bool> = cells.filter_map(near).collect();
        found.iter().filter(|near| **near).count() as f64 / found.len().max(1) as f64
    };
    let inside = share(&mut (0..mask.len()).filter(|cell| mask[*cell]));
    let all = share(&mut (0..mask.len()));
    (all < 0.8).then(|| ((inside - all) / (1.0 - all)).max(0.0))
}
