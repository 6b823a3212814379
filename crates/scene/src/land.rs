//! What stands before the sky: hills, trees, a hut, lamps; and water.

use serde::{Deserialize, Serialize};

use crate::error::{SceneError, within};
use crate::random::{even_of, mixed};
use crate::texture::{fractal_along, smooth_step};

/// Land around the camera.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Land {
    /// Which of the patterns.
    pub seed: u64,
    /// Mean altitude of the hills' crest, degrees.
    pub hill_deg: f64,
    /// Their relief up and down, degrees.
    pub relief_deg: f64,
    /// Tallest trees, degrees above the hill's foot; 0 for none.
    pub tree_deg: f64,
    /// Share of the skyline with trees, 0..=1.
    pub tree_share: f64,
    /// Share of the light that the ground gives back: snow 0.8, heath 0.1.
    pub albedo: f64,
    /// A hut.
    pub hut: Option<Hut>,
    /// Lamps.
    pub lamps: Vec<Lamp>,
}

/// A hut with a gable.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Hut {
    /// Azimuth of its middle, degrees.
    pub azimuth_deg: f64,
    /// Width, degrees.
    pub width_deg: f64,
    /// Height of the wall over the horizon, degrees; the gable stands half as high again.
    pub wall_deg: f64,
    /// Luminance of its window, cd m⁻²; 0 for dark, 0.05 behind a thick curtain.
    pub window_cd_m2: f64,
}

/// A lamp, as bright as a star of a magnitude.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Lamp {
    /// Azimuth, degrees.
    pub azimuth_deg: f64,
    /// Altitude, degrees.
    pub altitude_deg: f64,
    /// V magnitude.
    pub v_mag: f64,
    /// Colour B - V: sodium and warm white about 1.8.
    pub colour_bv_mag: f64,
}

/// Water in front of the land.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Water {
    /// Far shore below the horizon, degrees (positive down).
    pub far_deg: f64,
    /// Near shore below the horizon, degrees; 90 for none.
    pub near_deg: f64,
    /// Root mean square slope of the ripples, degrees: 0.2 a mirror, 2 soft pillars, 6 only a glow.
    pub slope_deg: f64,
}

impl Land {
    /// The open sea's shore: nothing stands above it.
    pub(crate) fn none() -> Self {
        Self {
            seed: 0,
            hill_deg: 0.0,
            relief_deg: 0.0,
            tree_deg: 0.0,
            tree_share: 0.0,
            albedo: 0.0,
            hut: None,
            lamps: Vec::new(),
        }
    }

    pub(crate) fn check(&self) -> Result<(), SceneError> {
        within("altitude of the hills in degrees", self.hill_deg, -5.0, 60.0)?;
        within("relief in degrees", self.relief_deg, 0.0, 60.0)?;
        within("tallest trees in degrees", self.tree_deg, 0.0, 80.0)?;
        within("share of trees", self.tree_share, 0.0, 1.0)?;
        within("albedo", self.albedo, 0.0, 1.0)?;
        for lamp in &self.lamps {
            within("magnitude of a lamp", lamp.v_mag, -16.0, 10.0)?;
            within("altitude of a lamp in degrees", lamp.altitude_deg, -90.0, 90.0)?;
        }
        self.hut.as_ref().map_or(Ok(()), |hut| {
            within("width of the hut in degrees", hut.width_deg, 0.1, 60.0)?;
            within("wall of the hut in degrees", hut.wall_deg, 0.0, 60.0)?;
            within("luminance of the window in cd m-2", hut.window_cd_m2, 0.0, 1e6)
        })
    }
}

impl Water {
    pub(crate) fn check(&self) -> Result<(), SceneError> {
        within("far shore in degrees", self.far_deg, 0.0, 30.0)?;
        within("near shore in degrees", self.near_deg, self.far_deg, 90.0)?;
        within("slope of the ripples in degrees", self.slope_deg, 0.0, 20.0)
    }

    /// Share of light that a level surface gives back at an altitude, unpolarised (Fresnel, index 1.333).
    pub(crate) fn reflectance(altitude_deg: f64) -> f64 {
        /// Refractive index of water.
        const INDEX: f64 = 1.333;
        let cos = altitude_deg.clamp(0.0, 90.0).to_radians().sin();
        let inside = (1.0 - (1.0 - cos * cos) / (INDEX * INDEX)).sqrt();
        let across = (cos - INDEX * inside) / (cos + INDEX * inside);
        let along = (INDEX * cos - inside) / (INDEX * cos + inside);
        0.5 * (across * across + along * along)
    }
}

/// The land's upper edge by azimuth.
#[derive(Debug, Clone)]
pub(crate) struct Skyline {
    altitude_deg: Vec<f32>,
    pub(crate) highest_deg: f64,
}

/// Azimuths of the finest skyline.
const MOST_STEPS: f64 = 72_000.0;

impl Skyline {
    /// * `step_deg`: finest detail wanted.
    pub(crate) fn new(land: &Land, step_deg: f64) -> Self {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
        let steps = (360.0 / step_deg.max(1e-4)).clamp(720.0, MOST_STEPS) as usize;
        let altitude_deg: Vec<f32> = (0..steps)
            .map(|i| {
                #[expect(clippy::cast_possible_truncation, reason = "an altitude")]
                let altitude = land_altitude_deg(land, i as f64 * 360.0 / steps as f64) as f32;
                altitude
            })
            .collect();
        let highest_deg = f64::from(altitude_deg.iter().copied().fold(f32::MIN, f32::max));
        Self { altitude_deg, highest_deg }
    }

    /// Altitude of the edge, degrees.
    pub(crate) fn at(&self, azimuth_deg: f64) -> f64 {
        let steps = self.altitude_deg.len();
        let position = azimuth_deg.rem_euclid(360.0) / 360.0 * steps as f64;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0..steps by construction")]
        let index = (position as usize).min(steps - 1);
        let share = position - index as f64;
        let (a, b) = (f64::from(self.altitude_deg[index]), f64::from(self.altitude_deg[(index + 1) % steps]));
        a + (b - a) * share
    }
}

fn land_altitude_deg(land: &Land, azimuth_deg: f64) -> f64 {
    // the pattern goes around: laid on a circle by mixing both ends over 20 degrees
    let hills = |azimuth: f64| fractal_along(land.seed, azimuth / 23.0, 6, 0.47);
    let blend = smooth_step(340.0, 360.0, azimuth_deg);
    let pattern = hills(azimuth_deg) * (1.0 - blend) + hills(azimuth_deg - 360.0) * blend;
    let hill = land.hill_deg + land.relief_deg * pattern;
    let trees = (-2i32..=2).flat_map(|offset| [0usize, 1, 2].map(|layer| (offset, layer)));
    let tree = trees.map(|(offset, layer)| tree_deg(land, azimuth_deg, offset, layer)).fold(0.0, f64::max);
    let hut = land.hut.as_ref().map_or(f64::MIN, |hut| hut_deg(hut, azimuth_deg));
    // trees stand on the shore in front of the hills
    hill.max(0.35 * hill.max(0.0) + tree).max(hut)
}

/// Height of a spruce of one layer near an azimuth.
fn tree_deg(land: &Land, azimuth_deg: f64, offset: i32, layer: usize) -> f64 {
    if land.tree_deg <= 0.0 || land.tree_share <= 0.0 {
        return 0.0;
    }
    let spacing_deg = land.tree_deg * [0.30, 0.19, 0.12][layer % 3];
    let slots = (360.0 / spacing_deg).round().max(3.0);
    let slot = (azimuth_deg / 360.0 * slots).floor() + f64::from(offset);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a slot of the circle")]
    let number = slot.rem_euclid(slots) as u64;
    let dice =
        |k: u64| even_of(mixed(land.seed ^ mixed(number.wrapping_mul(8).wrapping_add(k) ^ (layer as u64) << 40)));
    let middle_deg = (slot + 0.2 + 0.6 * dice(0)) * 360.0 / slots;
    let grove =
        smooth_step(-0.10, 0.12, fractal_along(land.seed ^ 0x7ee, middle_deg / 11.0, 3, 0.6) + land.tree_share - 0.5);
    let height_deg = land.tree_deg * [1.0, 0.62, 0.36][layer % 3] * (0.45 + 0.55 * dice(1)) * grove;
    let half_width_deg = height_deg * (0.15 + 0.09 * dice(2));
    let off = ((azimuth_deg - middle_deg) / half_width_deg.max(1e-6)).abs();
    if off >= 1.0 {
        return 0.0;
    }
    // branches: the edge steps in and out
    let ragged = 0.10 * fractal_along(land.seed ^ number, off * 9.0 + 40.0 * dice(3), 2, 0.6);
    height_deg * (1.0 - (off.powf(0.85) + ragged * off).clamp(0.0, 1.0))
}

fn hut_deg(hut: &Hut, azimuth_deg: f64) -> f64 {
    let off = quantity::wrap_degrees_180(azimuth_deg - hut.azimuth_deg) / (0.5 * hut.width_deg);
    let eaves = off.abs() < 1.08;
    if !eaves {
        return f64::MIN;
    }
    let roof = hut.wall_deg * (1.0 + 0.5 * (1.0 - off.abs()));
    let chimney = if (0.35..0.5).contains(&off) { hut.wall_deg * 1.55 } else { 0.0 };
    roof.max(chimney)
}
