//! Aurora in one frame: whether, where, how bright, in which lines and of what form.
//!
//! Colour decides. Every natural light (stars, moon, twilight, lamps, their scattering) is a continuum: its green lies
//! between its red and its blue. Aurora is lines: 557.7 nm adds green alone, 630.0 nm red without yellow. So each cell gets
//! two numbers that white balance only shifts, and what leaves the line of natural colours, adds light and is no rough
//! surface is line light.

mod colour;
mod context;
mod corona;
mod finding;
mod grey;
mod grid;
mod hue;
mod judgement;
mod line_light;
mod lines;
mod own_light;
mod rays;
mod rivals;
mod shape;
mod surface;
mod tint;

pub use context::{AuroraContext, StarsSeen};
pub use finding::{
    AuroraClue, AuroraCorona, AuroraEvidence, AuroraExtent, AuroraFinding, AuroraForm, AuroraPresence, AuroraRays,
    AuroraRegion, AuroraRival, AuroraStructure, ChannelExcess, LineShares, RivalFinding,
};

use crate::LightMap;
use grey::Grey;
use grid::{Grid, quantile};
use judgement::Judgement;
use line_light::LineLight;
use own_light::OwnLight;
use rivals::Rivals;
use tint::Tints;

/// Place in order of the cell that stands for the brightest: the one in a hundred above it may be a star or an accident.
const BRIGHTEST_PLACE: f64 = 0.99;
/// Angle between a vanishing point and the magnetic zenith up to which they agree, degrees.
const MEETS_ZENITH_DEG: f64 = 8.0;
/// Cells compared for the angle across, at most.
const MOST_ACROSS: usize = 160;

/// Finds aurora in the light of a frame.
///
/// Works on the cells alone: a few milliseconds. Nothing in `context` is needed; stars, settings, the sun's altitude and a
/// mask of the sky make the answer surer. A grey picture has no colour: without a narrow filter the answer is at most
/// "cannot tell".
///
/// ```
/// use frame::{AuroraContext, AuroraPresence, LightMap, Limits, find_aurora, open};
///
/// let frame = open(b"P6\n1 1\n255\n\x10\x10\x10", &Limits::default())?;
/// let finding = find_aurora(&LightMap::of(&frame)?, &AuroraContext::default());
/// assert_ne!(finding.presence, AuroraPresence::Yes);
/// # Ok::<(), frame::FrameError>(())
/// ```
pub fn find_aurora(map: &LightMap, context: &AuroraContext<'_>) -> AuroraFinding {
    let mut judgement = Judgement::new();
    judgement.add_circumstances(context);
    let coloured = if tint::is_colourless(map) { None } else { Tints::of(map, context) };
    if let Some(tints) = coloured {
        let line = LineLight::of(&tints, context);
        let rivals = Rivals::of_colours(map, &tints, &line, context);
        colour::judge(&mut judgement, &rivals, &tints, &line, context);
        let mut mask = vec![false; tints.usable.len()];
        for light in &line.hues {
            mask.iter_mut().zip(&light.mask).for_each(|(mask, light)| *mask |= light);
        }
        let is_smooth = colour::is_smooth(&line);
        let own = line.own.iter().collect();
        let levels = [0, 1, 2].map(|i| tints.rgb.iter().map(|rgb| rgb[i]).collect());
        let light = Light { grid: tints.grid, usable: tints.usable, mask, levels: levels.to_vec(), own, is_smooth };
        light.finding(map, context, judgement, rivals)
    } else if let Some(grey) = Grey::of(map, context) {
        let mut rivals = Rivals::circumstances(context);
        grey.judge(&mut judgement, &mut rivals, context);
        let light = Light {
            grid: grey.grid,
            usable: grey.usable,
            mask: grey.mask,
            // three channels that are alike have one level
            levels: vec![grey.level; map.channels.len()],
            own: vec![&grey.own; map.channels.len()],
            is_smooth: true,
        };
        light.finding(map, context, judgement, rivals)
    } else {
        judgement.cap(0.0, AuroraClue::Medium, "no channels to judge by");
        let grid = Grid { columns: map.columns, rows: map.rows };
        let none = vec![false; grid.cells()];
        let light =
            Light { grid, usable: none.clone(), mask: none, levels: Vec::new(), own: Vec::new(), is_smooth: true };
        light.finding(map, context, judgement, Rivals::circumstances(context))
    }
}

/// What was judged, by channel of the map.
struct Light<'a> {
    grid: Grid,
    usable: Vec<bool>,
    mask: Vec<bool>,
    levels: Vec<Vec<f64>>,
    own: Vec<&'a OwnLight>,
    /// Whether the form has no edges that would speak for it.
    is_smooth: bool,
}

impl Light<'_> {
    fn finding(
        mut self,
        map: &LightMap,
        context: &AuroraContext<'_>,
        mut judgement: Judgement,
        rivals: Rivals,
    ) -> AuroraFinding {
        let excess: Vec<Vec<f64>> = self
            .levels
            .iter()
            .zip(&self.own)
            .map(|(level, own)| {
                let cells = level.iter().zip(&own.level).zip(&self.usable);
                cells.map(|((level, own), usable)| if *usable { level - own } else { f64::NAN }).collect()
            })
            .collect();
        let sum: Vec<f64> = (0..self.mask.len()).map(|cell| excess.iter().map(|channel| channel[cell]).sum()).collect();
        let light: Vec<f64> =
            (0..self.mask.len()).map(|cell| self.levels.iter().map(|level| level[cell]).sum()).collect();
        let seen = shape::Seen {
            grid: self.grid,
            excess: &sum,
            light: &light,
            usable: &self.usable,
            mask: &self.mask,
            cell_px: map.cell_px,
            lens: context.lens,
            magnetic_zenith: context.magnetic_zenith,
        };
        let has_colour = !tint::is_colourless(map);
        let mut structure = if excess.is_empty() { None } else { shape::structure(&seen) };
        if let Some(structure) = structure.as_mut().filter(|_| context.asks_forms) {
            structure.corona = corona::around_zenith(&seen);
        }
        if let Some(structure) = &structure {
            add_structure(&mut judgement, structure, !self.is_smooth);
        }
        let presence = judgement.presence();
        let is_open = presence != AuroraPresence::No && structure.is_some();
        let regions = if is_open && context.asks_forms { shape::regions(&seen) } else { Vec::new() };
        if presence == AuroraPresence::No {
            self.mask.fill(false);
        }
        let is_found = self.mask.iter().any(|cell| *cell);
        let channels = map.channels.iter().zip(&excess).map(|(channel, cells)| {
            let inside = || (0..cells.len()).filter(|cell| self.mask[*cell]).map(|cell| cells[cell]);
            ChannelExcess {
                channel: channel.channel,
                cells: cells.iter().map(|value| crate::whole::single(*value)).collect(),
                brightest: quantile(inside(), BRIGHTEST_PLACE).unwrap_or(0.0),
                median: quantile(inside(), 0.5).unwrap_or(0.0),
            }
        });
        let channels: Vec<ChannelExcess> = channels.collect();
        let lines = if is_found && has_colour { self.lines(&excess, context) } else { None };
        AuroraFinding {
            presence,
            probability: judgement.probability(),
            evidence: judgement.evidence,
            rivals: rivals.0,
            extent: self.extent(map, context),
            excess_is_least: self.own.iter().any(|own| own.is_darkest),
            excess: channels,
            lines,
            structure: structure.filter(|_| is_found),
            regions,
            mask: self.mask,
            sky: self.usable,
        }
    }

    /// Line shares of the sum of the light.
    fn lines(&self, excess: &[Vec<f64>], context: &AuroraContext<'_>) -> Option<LineShares> {
        let [red, green, blue] = excess else { return None };
        let mut sums = [0.0; 3];
        for cell in (0..self.mask.len()).filter(|cell| self.mask[*cell]) {
            let excess = [red[cell], green[cell], blue[cell]];
            let own = [0, 1, 2].map(|i| self.own[i].level[cell]);
            // where the sky is darker than its surface, as much of its own colour is taken off as fits
            let darker = (0..3).filter(|i| own[*i] > 0.0).map(|i| excess[i] / own[i]).fold(0.0, f64::min);
            for i in 0..3 {
                if excess[i].is_finite() {
                    sums[i] += excess[i] - darker * own[i];
                }
            }
        }
        lines::shares(sums, context.is_linear, context.neutral)
    }

    fn extent(&self, map: &LightMap, context: &AuroraContext<'_>) -> AuroraExtent {
        let sky = self.usable.iter().filter(|usable| **usable).count().max(1) as f64;
        let cells: Vec<usize> = (0..self.mask.len()).filter(|cell| self.mask[*cell]).collect();
        let sky_share = cells.len() as f64 / sky;
        let pixel = |cell: usize| self.grid.place(cell).map(|cells| (cells + 0.5) * map.cell_px - 0.5);
        let step = cells.len().div_ceil(MOST_ACROSS).max(1);
        let Some(lens) = context.lens else { return AuroraExtent { sky_share, across_deg: None, altitude_deg: None } };
        let some = || cells.iter().step_by(step);
        let directions: Vec<[f64; 3]> = some().filter_map(|cell| lens.model.direction_of(pixel(*cell))).collect();
        let mut least = 1.0_f64;
        for (i, a) in directions.iter().enumerate() {
            for b in &directions[i + 1..] {
                least = least.min(a.iter().zip(b).map(|(a, b)| a * b).sum());
            }
        }
        let across_deg = (directions.len() > 1).then(|| least.clamp(-1.0, 1.0).acos().to_degrees());
        let altitudes: Vec<f64> =
            some().filter_map(|cell| lens.horizontal_of(pixel(*cell))).map(|seen| seen.altitude_deg).collect();
        let altitude_deg = quantile(altitudes.iter().copied(), 0.01)
            .zip(quantile(altitudes.iter().copied(), 0.99))
            .map(|(low, high)| [low, high]);
        AuroraExtent { sky_share, across_deg, altitude_deg }
    }
}

/// Structure supports light that has the colour; by itself it says little.
fn add_structure(judgement: &mut Judgement, structure: &AuroraStructure, has_edges: bool) {
    if let Some(rays) = &structure.rays {
        if let Some(off) = rays.from_magnetic_zenith_deg.filter(|off| *off < MEETS_ZENITH_DEG) {
            let words = format!("rays meet {off:.0} degrees from the magnetic zenith");
            judgement.add(AuroraClue::Structure, 2.0, words);
        } else if has_edges && judgement.sum() > 0.0 {
            judgement.add(AuroraClue::Structure, 0.4, format!("{} pieces of rays", rays.pieces));
        }
    }
    if has_edges && judgement.sum() > 0.0 && structure.rays.is_none() && structure.length_px > 3.0 * structure.width_px
    {
        let words = format!("a band, {:.1} times as long as wide", structure.length_px / structure.width_px.max(1e-9));
        judgement.add(AuroraClue::Structure, 0.5, words);
    }
}
