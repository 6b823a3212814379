//! Moon and sun in a frame: a burnt-out disc with a glare that fades around it.

mod glare;
mod patches;

use serde::{Deserialize, Serialize};

use crate::{Plane, SkyMask};
use glare::Glare;
use patches::{Blocks, Patch};

/// What a bright disc is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum BodyKind {
    /// The moon.
    Moon,
    /// The sun.
    Sun,
    /// Either: nothing says whether it is night.
    SunOrMoon,
}

/// What is known before the picture is looked at. Nothing need be.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BodyHints {
    /// Where sun and moon should stand in the frame, px, by lens, time and place.
    pub predicted: Vec<(BodyKind, [f64; 2])>,
    /// Scale in the middle of the frame, arcseconds per px.
    pub arcsec_per_px: Option<f64>,
    /// Whether it is night.
    pub is_night: Option<bool>,
}

/// Sun or moon in a frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct BrightBody {
    /// Which.
    pub kind: BodyKind,
    /// Middle of the burnt-out disc, px of the frame as stored.
    pub position_px: [f64; 2],
    /// Diameter of the burnt-out disc, px: larger than the body itself, for its glare burns out too.
    pub diameter_px: f64,
    /// How sure that is, 0..1 (judgement).
    pub confidence: f64,
}

/// Glare beside the disc over the sky's own light from which it is sun or moon: a planet's is a tenth of this, lamps' fades
/// within a few radii.
const LEAST_GLARE: f64 = 0.5;
/// Light beside the disc, of full, below which it has a sharp edge: a wall or a window.
const LEAST_BLOOM: f64 = 0.3;
/// Glare of one ring over that of the next, twice as wide, around a disc too small for a shape: a hot pixel on a glow has none.
const SMALL_FADES: f64 = 1.15;
/// A ring of such a glare may be so uneven, half its quartile range over its excess.
const MOST_UNEVEN: f64 = 0.6;
/// Roundness of a disc: area over that of the ellipse with its moments, and its short over its long axis; the blades of the
/// aperture draw spikes on it.
const LEAST_FILL: f64 = 0.6;
const LEAST_AXIS: f64 = 0.5;
/// Blocks from which the shape says something.
const SHAPED_BLOCKS: usize = 12;
/// Sky around a disc, of all directions: a sun on the horizon has little more than a third.
const LEAST_SKY_AROUND: f64 = 0.3;
/// Patches whose glare is looked at, the largest.
const MOST_JUDGED: usize = 200;
/// Largest disc, of the frame's area: more is a burnt-out sky.
const LARGEST_SHARE: f64 = 0.08;
/// The next patch in the sky is at most this share of it: white clouds and windows come in many sizes.
const NEXT_SHARE: f64 = 0.25;
/// Burnt-out disc in degrees, where the scale is known: half of the moon's 0.52 (a short exposure burns out its middle) to a sun
/// that floods a wide lens.
const DIAMETER_DEG: [f64; 2] = [0.2, 20.0];
/// Distance of disc and prediction that agree, degrees, beyond the disc's own radius.
const AGREES_DEG: f64 = 1.5;
/// The same in shares of the long side, where no scale is known.
const AGREES_SHARE: f64 = 0.02;
/// Confidence of a disc with glare, of one whose shape could be seen too, and of one where prediction puts it.
const BY_GLARE: f64 = 0.7;
const BY_SHAPE: f64 = 0.85;
const BY_PREDICTION: f64 = 0.97;

/// A plane made ready for the search for sun and moon: for several looks with other hints or another mask.
#[derive(Debug)]
pub struct BrightLights(Blocks);

impl BrightLights {
    /// * `plane`: linear luminance.
    pub fn of(plane: &Plane) -> Self {
        Self(Blocks::of(plane))
    }
}

impl BrightBody {
    /// Looks for sun or moon in the sky of a frame.
    ///
    /// * `ceiling`: value from which it is full; the brightest sample is taken if `None`.
    /// * `mask`: what is sky.
    ///
    /// `None` where none is found for sure. Clear lamps against the sky may pass for one.
    pub fn find(lights: &BrightLights, ceiling: Option<f32>, mask: &SkyMask, hints: &BodyHints) -> Option<Self> {
        // without any word on what is sky, a bright window is as good as a sun
        mask.foreground_share?;
        let BrightLights(blocks) = lights;
        let levels = blocks.levels(mask, ceiling)?;
        let mut patches = blocks.patches(&levels);
        patches.truncate(MOST_JUDGED);
        patches.retain(|patch| glare::sky_around(blocks, patch, mask) >= LEAST_SKY_AROUND);
        let shaped: Vec<usize> =
            patches.iter().map(|patch| patch.blocks).filter(|n| *n >= SHAPED_BLOCKS).take(2).collect();
        // hot pixels, planets and the edges of clouds do not shine
        patches.retain(|patch| is_disc(patch, blocks, hints, 2.0 * patch.radius() * blocks.side_px));
        patches.retain(|patch| shines(blocks, patch, &levels, mask));
        patches.iter().enumerate().find_map(|(i, patch)| {
            let others = patches.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, other)| other.blocks);
            // the largest light counts against the others, whatever it is
            let largest = shaped.iter().copied().filter(|n| *n > patch.blocks);
            let next = others.chain(largest).max();
            let position_px = blocks.place_px(patch.middle);
            let diameter_px = 2.0 * patch.radius() * blocks.side_px;
            let agrees = |at: &[f64; 2]| {
                let off = (at[0] - position_px[0]).hypot(at[1] - position_px[1]) - 0.5 * diameter_px;
                off <= hints.arcsec_per_px.map_or(AGREES_SHARE * blocks.long_px(), |scale| AGREES_DEG * 3600.0 / scale)
            };
            let there = hints.predicted.iter().find(|(_, at)| agrees(at));
            let stands_out = next.is_none_or(|next| next as f64 <= NEXT_SHARE * patch.blocks as f64);
            // lens, time and place are known and put neither there: a lamp
            if there.is_none() && (!stands_out || !hints.predicted.is_empty()) {
                return None;
            }
            let by_hour = if hints.is_night == Some(true) { BodyKind::Moon } else { BodyKind::SunOrMoon };
            let seen = if patch.blocks >= SHAPED_BLOCKS { BY_SHAPE } else { BY_GLARE };
            Some(Self {
                kind: there.map_or(by_hour, |(kind, _)| *kind),
                position_px,
                diameter_px,
                confidence: if there.is_some() { BY_PREDICTION } else { seen },
            })
        })
    }
}

fn is_disc(patch: &Patch, blocks: &Blocks, hints: &BodyHints, diameter_px: f64) -> bool {
    let round = patch.blocks < SHAPED_BLOCKS || (patch.fill() >= LEAST_FILL && patch.axis() >= LEAST_AXIS);
    let fits = hints.arcsec_per_px.is_none_or(|scale| {
        let degrees = diameter_px * scale / 3600.0;
        degrees <= DIAMETER_DEG[1] && (degrees >= DIAMETER_DEG[0] || diameter_px < 4.0)
    });
    round && fits && patch.blocks as f64 <= LARGEST_SHARE * blocks.count() as f64
}

/// Whether a glare surrounds a disc that fades outwards and is alike all round.
fn shines(blocks: &Blocks, patch: &Patch, levels: &patches::Levels, mask: &SkyMask) -> bool {
    let glare = Glare::around(blocks, patch, mask);
    let [bloom, near, middle, far] = glare.levels.map(|level| level - levels.sky);
    let own = levels.sky - levels.black;
    // beyond the edges of the frame there is no fading to see
    let fades = |by: f64| near > by * middle && (far.is_nan() || by * far < middle);
    let is_even = glare.unevenness <= MOST_UNEVEN * middle;
    let enough = LEAST_GLARE * own;
    if patch.blocks < SHAPED_BLOCKS {
        middle >= enough && near - far >= enough && fades(SMALL_FADES) && is_even
    } else {
        near >= enough && bloom >= LEAST_BLOOM * (levels.full - levels.sky) && fades(1.0) && middle > 0.0
    }
}
