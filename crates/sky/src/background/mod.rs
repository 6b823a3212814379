//! The light of the sky without aurora: airglow and starlight, moonlight, twilight, town glow.
//!
//! **What it does not do:** find the Sun or the Moon (their places come in), colours (V band only; a scotopic value by a
//! fixed ratio for each part), the Milky Way's shape and the zodiacal light (inside the natural zenith value), and
//! the skyline.
//!
//! ```
//! use quantity::Horizontal;
//! use sky::background::{Background, SkyConditions, SkyQuality};
//!
//! let dark = Background::new(&SkyConditions { sky_quality: SkyQuality::MeasuredMagArcsec2(21.7), ..SkyConditions::default() });
//! let overhead = dark.at(Horizontal::new(90.0, 0.0));
//! assert!((overhead.mag_arcsec2() - 21.7).abs() < 1e-6);
//! ```

mod conditions;
mod light;
mod moonlight;
mod natural;
mod quality;
mod town_glow;
mod twilight;

pub use conditions::{MoonLight, OppositionSurge, SkyConditions};
pub use light::{BackgroundLight, MOON_SP_RATIO, NATURAL_SP_RATIO, TOWN_SP_RATIO, TWILIGHT_SP_RATIO};
pub use moonlight::{
    MEAN_MOON_DISTANCE_KM, MOON_SIGMA, krisciunas_schaefer_moon_nl, moon_illuminance, opposition_factor, scattering,
};
pub use natural::{NATURAL_SIGMA, NATURAL_ZENITH_MAG, krisciunas_schaefer_dark_nl, natural_nl, van_rhijn};
pub use quality::{SkyQuality, bortle_range_mag};
pub use town_glow::{BOUNDARY_KM, TownGlow, WALKER_SIGMA, walker_ratio};
pub use twilight::{
    TWILIGHT_SIGMA_MAG, patat_zenith_mag, thorstensen_above_dark_mag, toward_sun_mag, zenith_twilight_nl,
};

use quantity::Horizontal;

use crate::airmass::above_horizon_deg;
use moonlight::MoonGlow;
use natural::NaturalGlow;
use town_glow::TownDome;
use twilight::Twilight;

/// The sky's own light at one instant over one site, ready to be asked for any direction.
///
/// Any finite input gives a finite answer; NaN counts as the darkest or lowest case.
#[derive(Debug, Clone, PartialEq)]
pub struct Background {
    natural: NaturalGlow,
    moon: Option<MoonGlow>,
    twilight: Twilight,
    town: TownDome,
    /// Share of light from above the cloud that comes through.
    through_cloud: f64,
}

impl Background {
    /// Does all the work that does not depend on the direction; it grows with the number of towns.
    pub fn new(conditions: &SkyConditions) -> Self {
        let natural = NaturalGlow::new(conditions);
        Self {
            moon: conditions.moon.as_ref().and_then(|moon| MoonGlow::new(moon, conditions)),
            twilight: Twilight::new(conditions.sun, &conditions.extinction),
            town: TownDome::new(conditions),
            through_cloud: conditions.cloud.diffuse_transmission(),
            natural,
        }
    }

    /// Brightness in one direction (apparent altitude). Below the horizon: as on it.
    pub fn at(&self, direction: Horizontal) -> BackgroundLight {
        let azimuth_deg = if direction.azimuth_deg.is_finite() { direction.azimuth_deg } else { 0.0 };
        let direction = Horizontal::new(above_horizon_deg(direction.altitude_deg), azimuth_deg);
        let natural_nl = self.natural.at(direction.altitude_deg) * self.through_cloud;
        let (twilight_nl, twilight_sigma) = self.twilight.at(direction);
        BackgroundLight {
            natural_nl,
            moon_nl: self.moon.as_ref().map_or(0.0, |moon| moon.at(direction)) * self.through_cloud,
            twilight_nl: twilight_nl * self.through_cloud,
            town_nl: self.town.at(direction),
            twilight_sigma,
            town_sigma: self.town.sigma(),
        }
    }
}
