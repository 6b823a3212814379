use serde::{Deserialize, Serialize};

use crate::LightChannel;

/// Whether a frame shows aurora.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AuroraPresence {
    /// It does.
    Yes,
    /// It does not.
    No,
    /// This frame does not settle it.
    CannotTell,
}

/// What a piece of evidence is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum AuroraClue {
    /// Before looking.
    Prior,
    /// Light of the green line.
    Green,
    /// Light of the red line.
    Red,
    /// Violet and purple light.
    Violet,
    /// No light that a continuum does not explain.
    NaturalColours,
    /// Shape: bands, rays.
    Structure,
    /// Brightness alone, in a grey picture.
    Brightness,
    /// Stars or their absence.
    Stars,
    /// Light of day.
    Daylight,
    /// The sun by the clock.
    Sun,
    /// What the picture is.
    Medium,
    /// A rival explanation.
    Rival,
}

/// One piece of evidence.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AuroraEvidence {
    /// What it is about.
    pub clue: AuroraClue,
    /// Natural logarithm of the odds it adds for aurora.
    pub log_odds: f64,
    /// In words, with the number it rests on.
    pub words: String,
}

/// Another explanation of the light.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum AuroraRival {
    /// Light of the air itself.
    Airglow,
    /// Lit haze over towns.
    TownGlow,
    /// Cloud under the moon or lit from below.
    LitCloud,
    /// The sun below the horizon.
    Twilight,
    /// Noctilucent cloud.
    NoctilucentCloud,
    /// Day.
    Daylight,
    /// Lamps and their spill.
    Lamps,
    /// Leaves, grass, painted things.
    Foreground,
    /// Reflections inside the lens.
    Flare,
    /// A drawing.
    Artwork,
    /// The band of the Milky Way.
    MilkyWay,
}

/// A rival with what speaks for it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RivalFinding {
    /// Which.
    pub rival: AuroraRival,
    /// How well it fits what is seen, 0 to 1 (judgement).
    pub strength: f64,
    /// In words.
    pub words: String,
}

/// Light above the sky's own, of one channel.
#[derive(Debug, Clone, PartialEq)]
pub struct ChannelExcess {
    /// Which channel.
    pub channel: LightChannel,
    /// Level less the level of the sky without aurora, cell by cell, in the unit of the map; NaN where no sky is. It may be
    /// below zero.
    pub cells: Vec<f32>,
    /// Level of 99 % of the auroral cells, at most: the brightest that is no accident.
    pub brightest: f64,
    /// Median over the auroral cells.
    pub median: f64,
}

/// Part of the light of an aurora in each line family, from a picture in colour.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LineShares {
    /// Shares of 427.8, 557.7 and 630.0 nm (order of `quantity::EmissionLine::ALL`) in the sum of their rayleighs.
    pub shares: [f64; 3],
    /// Lowest of each for the white balances that cameras use.
    pub low: [f64; 3],
    /// Highest of each.
    pub high: [f64; 3],
}

/// How far the aurora reaches.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct AuroraExtent {
    /// Share of the cells of sky.
    pub sky_share: f64,
    /// Angle between its two most distant cells, degrees, where the lens is known.
    pub across_deg: Option<f64>,
    /// Lowest and highest altitude of its cells, degrees, where place, time and lens are known.
    pub altitude_deg: Option<[f64; 2]>,
}

/// What the aurora looks like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AuroraForm {
    /// A long narrow form.
    Band,
    /// A band with rays.
    RayedBand,
    /// Rays.
    Rays,
    /// Several separate patches.
    Patches,
    /// Smooth, without edges.
    Veil,
}

/// Rays and where they meet.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct AuroraRays {
    /// Pieces of rays that were used.
    pub pieces: usize,
    /// Where their lines meet, px of the frame; `None` where they are parallel within their errors.
    pub vanishing_px: Option<[f64; 2]>,
    /// Root mean square distance of the lines from that point in angle at the rays, degrees.
    pub scatter_deg: f64,
    /// Angle between that point and the magnetic zenith, degrees, where both are known.
    pub from_magnetic_zenith_deg: Option<f64>,
    /// Median angle at the pieces by which they miss the magnetic zenith, degrees, where both are known. Rays of a narrow sheaf meet
    /// at a point that is known badly along them, and still point at the magnetic zenith or not.
    pub misses_zenith_deg: Option<f64>,
}

/// Stripes around the magnetic zenith.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct AuroraCorona {
    /// Pieces of stripes within 45 degrees of it.
    pub pieces: usize,
    /// Share of them that point at it within 15 degrees; by chance a sixth.
    pub pointing_share: f64,
    /// Of eight sides around it, those where most stripes point at it.
    pub sides: usize,
    /// Median angle at the pieces by which they miss it, degrees.
    pub misses_deg: f64,
}

/// Measures of structure.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct AuroraStructure {
    /// The form that describes it best.
    pub form: AuroraForm,
    /// How much gradients agree in direction, 0 (none) to 1 (stripes): structure tensor over the auroral cells.
    pub coherence: f64,
    /// Direction along the stripes, from +x towards +y (down), degrees, -90 to 90.
    pub direction_deg: f64,
    /// Length of the largest form along its long axis, px of the frame (four standard deviations).
    pub length_px: f64,
    /// Width of it across.
    pub width_px: f64,
    /// Separate forms.
    pub pieces: usize,
    /// Share of the light's variation that is finer than an eighth of the map.
    pub fine_share: f64,
    /// Rays, where there are any.
    pub rays: Option<AuroraRays>,
    /// Stripes around the magnetic zenith, where stars and field tell where that is and forms were asked for.
    pub corona: Option<AuroraCorona>,
}

/// One of several separate regions of auroral light.
#[derive(Debug, Clone, PartialEq)]
pub struct AuroraRegion {
    /// Its cells.
    pub cells: Vec<usize>,
    /// Its part in the light of all regions, 0 to 1.
    pub light_share: f64,
    /// Its structure by itself; the corona is one of all regions and not looked for.
    pub structure: AuroraStructure,
}

/// The aurora of one frame.
#[derive(Debug, Clone, PartialEq)]
pub struct AuroraFinding {
    /// Whether there is any.
    pub presence: AuroraPresence,
    /// Chance that there is, 0 to 1: a judgement from the evidence, not a frequency.
    pub probability: f64,
    /// What it rests on; log odds add up to the probability.
    pub evidence: Vec<AuroraEvidence>,
    /// Other explanations, the best first.
    pub rivals: Vec<RivalFinding>,
    /// Auroral cells, row by row; all false unless presence is yes or cannot tell.
    pub mask: Vec<bool>,
    /// Cells that were judged as sky.
    pub sky: Vec<bool>,
    /// How far it reaches.
    pub extent: AuroraExtent,
    /// Light above the sky's own, in the order of the map's channels.
    pub excess: Vec<ChannelExcess>,
    /// Whether too little sky is free of aurora: its darkest cells stand for the sky, and the excess is a least value.
    pub excess_is_least: bool,
    /// Shares of the lines; `None` for grey pictures and without aurora.
    pub lines: Option<LineShares>,
    /// What it looks like; `None` without aurora.
    pub structure: Option<AuroraStructure>,
    /// Separate regions, the brightest first; empty where the light is one region, and where forms were not asked for.
    pub regions: Vec<AuroraRegion>,
}
