use quantity::Horizontal;

use super::quality::SkyQuality;
use super::town_glow::TownGlow;
use crate::cloud::CloudLayer;
use crate::extinction::Extinction;

/// Everything the light of the sky depends on.
#[derive(Debug, Clone, PartialEq)]
pub struct SkyConditions {
    /// How dark the site is.
    pub sky_quality: SkyQuality,
    /// The Sun: apparent altitude (negative below the horizon), azimuth.
    pub sun: Horizontal,
    /// The Moon, `None` when it does not matter.
    pub moon: Option<MoonLight>,
    /// The air. Its molecular part also tells the height of the site, which matters to twilight.
    pub extinction: Extinction,
    /// Towns around, out to 150 or 200 km; see [`crate::towns::near`].
    pub towns: Vec<TownGlow>,
    /// Snow on the ground for kilometres around: town glow doubles, moonlit sky is 35 % brighter.
    pub snow_cover: bool,
    /// Cloud. The result is the mean over cloud and gaps.
    pub cloud: CloudLayer,
    /// Whether the surge of the full Moon counts.
    pub opposition_surge: OppositionSurge,
}

impl Default for SkyConditions {
    /// A clear, moonless night at sea level far from any town.
    fn default() -> Self {
        Self {
            sky_quality: SkyQuality::FromTowns,
            sun: Horizontal::new(-90.0, 0.0),
            moon: None,
            extinction: Extinction::clear(0.0),
            towns: Vec::new(),
            snow_cover: false,
            cloud: CloudLayer::NONE,
            opposition_surge: OppositionSurge::Included,
        }
    }
}

/// The Moon as a lamp.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MoonLight {
    /// Apparent place of its centre.
    pub direction: Horizontal,
    /// Angle Sun, Moon, Earth, degrees: 0 full, 180 new. The sign does not matter.
    pub phase_angle_deg: f64,
    /// Distance from the observer or the Earth's centre, km.
    pub distance_km: f64,
}

/// Whether a Moon within 7° of full is up to 35 % brighter than the smooth phase law.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OppositionSurge {
    /// The smooth law alone, as Krisciunas & Schaefer print it.
    Ignored,
    /// With the surge, as they describe it.
    Included,
}
