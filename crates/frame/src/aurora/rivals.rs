//! What else the light could be.

use super::context::{AuroraContext, StarsSeen};
use super::finding::{AuroraRival, RivalFinding};
use super::grid::{quantile, ramp};
use super::hue::Hue;
use super::line_light::LineLight;
use super::tint::Tints;
use crate::LightMap;

/// Weaker explanations are not worth a word.
const LEAST_STRENGTH: f64 = 0.15;
/// Warmer than the sky by this much: 4000 K beside 6500 K.
const WARMER: f64 = 0.25;
/// Share of the sky from which a patch is too large for a reflection in a lens.
const LARGEST_FLARE: f64 = 0.01;
/// Length over width from which a patch is none, either.
const LONGEST_FLARE: f64 = 3.0;
/// Cells with full pixels, share of the map, from which there is a light that a lens reflects: the moon, a lamp, the sun.
const LEAST_LIGHT: f64 = 0.0005;

/// Rival explanations.
pub(super) struct Rivals(pub(super) Vec<RivalFinding>);

impl Rivals {
    pub(super) fn strength(&self, rival: AuroraRival) -> f64 {
        self.0.iter().find(|found| found.rival == rival).map_or(0.0, |found| found.strength)
    }

    pub(super) fn add(&mut self, rival: AuroraRival, strength: f64, words: impl Into<String>) {
        if strength >= LEAST_STRENGTH {
            self.0.push(RivalFinding { rival, strength: strength.min(1.0), words: words.into() });
            self.0.sort_by(|a, b| b.strength.total_cmp(&a.strength));
        }
    }

    /// What place, time and settings alone suggest.
    pub(super) fn circumstances(context: &AuroraContext<'_>) -> Self {
        let mut rivals = Self(Vec::new());
        let by_light = context.luminance_cd_m2.filter(|l| *l > 0.0).map_or(0.0, |l| ramp(l.log10(), 0.5, 2.0));
        let by_sun = context.sun_altitude_deg.map_or(0.0, |sun| ramp(sun, -6.0, 0.0));
        rivals.add(AuroraRival::Daylight, by_light.max(by_sun), "the light of day");
        if context.is_rendered {
            rivals.add(AuroraRival::Artwork, 0.9, "areas without any noise: drawn or rendered");
        }
        rivals
    }

    /// With what a picture in colour shows.
    pub(super) fn of_colours(map: &LightMap, tints: &Tints, line: &LineLight, context: &AuroraContext<'_>) -> Self {
        let mut rivals = Self::circumstances(context);
        rivals.airglow(line);
        rivals.natural_light(tints, line, context);
        rivals.lights(map, line);
        let total = tints.usable.len().max(1) as f64;
        let painted = tints.rough.iter().filter(|rough| **rough).count() as f64 / total + line.dark_share;
        rivals.add(AuroraRival::Foreground, painted, "rough or dark coloured surfaces: leaves, grass, walls");
        rivals
    }

    fn airglow(&mut self, line: &LineLight) {
        let smooth = |hue| line.hue(hue).filter(|light| light.edge < 0.3 && light.tint < 0.45 && light.share > 0.05);
        if let Some(light) = smooth(Hue::Green).or(smooth(Hue::Red)) {
            let strength = 0.8 * (1.0 - ramp(light.tint, 0.2, 0.45));
            self.add(AuroraRival::Airglow, strength, "faint, wide and without edges");
        }
    }

    fn natural_light(&mut self, tints: &Tints, line: &LineLight, context: &AuroraContext<'_>) {
        let cells = || (0..tints.usable.len()).filter(|cell| tints.usable[*cell]);
        let sky = tints.usable_count().max(1) as f64;
        let middle = quantile(cells().map(|cell| tints.level[cell]), 0.5).unwrap_or(0.0);
        let is_warm = |cell: &usize| tints.warm[*cell] > line.own_warm + WARMER && tints.level[*cell] > 1.2 * middle;
        let warm: Vec<usize> = cells().filter(is_warm).collect();
        let share = warm.len() as f64 / sky;
        if share > 0.005 {
            let strength = ramp(share, 0.0, 0.08) * 0.8;
            let percent = 100.0 * share;
            self.add(AuroraRival::TownGlow, strength, format!("{percent:.0} % of the sky is brighter and orange"));
        }
        let bright = quantile(cells().map(|cell| tints.level[cell]), 0.95).unwrap_or(0.0);
        let stars = match context.stars {
            StarsSeen::None => 1.0,
            StarsSeen::Doubtful => 0.8,
            StarsSeen::NotAsked => 0.5,
            StarsSeen::Sure => 0.25,
        };
        let moon = if context.moon_altitude_deg.is_some_and(|moon| moon < 0.0) { 0.5 } else { 1.0 };
        let contrast = if middle > 0.0 { ramp(bright / middle, 1.2, 2.5) } else { 0.0 };
        self.add(AuroraRival::LitCloud, stars * moon * contrast, "uneven light in the colours of the moon or of lamps");
        let sun = context.sun_altitude_deg;
        let dusk = sun.map_or_else(|| ramp(line.warm_range, 0.6, 1.4), |sun| ramp(sun, -18.0, -10.0));
        self.add(AuroraRival::Twilight, dusk, "blue above and warm below, as after sunset");
        if dusk > 0.3 && sun.is_none_or(|sun| (-16.0..=-5.0).contains(&sun)) && contrast > 0.5 {
            let strength = if sun.is_some() { 0.6 } else { 0.3 };
            self.add(AuroraRival::NoctilucentCloud, strength, "bright white light low over a twilight");
        }
    }

    fn lights(&mut self, map: &LightMap, line: &LineLight) {
        let total = (map.columns * map.rows).max(1) as f64;
        let full = map.channels.iter().map(|channel| channel.is_light.iter().filter(|light| **light).count()).max();
        let lamps = full.unwrap_or(0) as f64 / total;
        self.add(AuroraRival::Lamps, ramp(lamps, 0.001, 0.02), "small burnt-out lights");
        let large = map.channels.iter().any(|channel| channel.full_in_sky > 0);
        let coloured: f64 = line.hues.iter().map(|light| light.share).sum();
        if (lamps > LEAST_LIGHT || large)
            && coloured > 0.0
            && coloured < LARGEST_FLARE
            && line.hues.iter().all(|light| light.elongation < LONGEST_FLARE)
        {
            self.add(AuroraRival::Flare, 0.7, "small coloured spots in a picture with a burnt-out light");
        }
    }
}
