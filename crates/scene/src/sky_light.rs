//! The sky's own light as the camera's three channels see it.

use optics::Channel;
use quantity::Horizontal;
use sky::background::{Background, BackgroundLight, MoonLight, OppositionSurge, SkyConditions};
use sky::photometry::{mag_from_nanolamberts, rayleighs_per_angstrom_from_mag};
use sky::{CloudLayer, SunMoon};

use crate::SceneSpec;

/// Light of a channel's band per light in green, in photons, by part of the sky. Our shapes: an even 4700 K body for
/// airglow and starlight; the Moon's light of a slightly red sunlight scattered by the square of the wavelength; a zenith
/// in twilight twice as blue; lamps of warm white and sodium.
const NATURAL: [f64; 3] = [1.15, 1.0, 0.78];
const MOONLIT: [f64; 3] = [0.87, 1.0, 1.08];
const TWILIT: [f64; 3] = [0.74, 1.0, 1.45];
/// Twilight low over the Sun.
const AFTERGLOW: [f64; 3] = [1.7, 1.0, 0.5];
const TOWN: [f64; 3] = [1.7, 1.0, 0.45];

/// The sky without aurora, clear and under cloud.
pub(crate) struct SkyLight {
    clear: Background,
    overcast: Background,
    sun_azimuth_deg: f64,
    per_nl: f64,
}

impl SkyLight {
    pub(crate) fn new(spec: &SceneSpec, bodies: &SunMoon) -> Self {
        let moon = &bodies.moon;
        let conditions = SkyConditions {
            sky_quality: spec.sky_quality,
            sun: spec.air.apparent(bodies.sun.horizontal),
            moon: Some(MoonLight {
                direction: spec.air.apparent(moon.horizontal),
                phase_angle_deg: moon.phase_angle_deg,
                distance_km: moon.distance_km,
            }),
            extinction: spec.extinction,
            towns: spec.towns.clone(),
            snow_cover: spec.snow_cover,
            cloud: CloudLayer::NONE,
            opposition_surge: OppositionSurge::Included,
        };
        let clear = Background::new(&conditions);
        let cloud = spec.cloud.as_ref().map_or(CloudLayer::NONE, |cloud| CloudLayer {
            cover: quantity::Fraction::ALL,
            optical_depth: cloud.optical_depth,
        });
        let overcast = Background::new(&SkyConditions { cloud, ..conditions });
        let per_nl = rayleighs_per_angstrom_from_mag(mag_from_nanolamberts(1.0));
        Self { clear, overcast, sun_azimuth_deg: bodies.sun.horizontal.azimuth_deg, per_nl }
    }

    /// Brightness, R Å⁻¹ in each channel's band, in an apparent direction behind cloud of an opacity.
    pub(crate) fn at(&self, direction: Horizontal, opacity: f64) -> [f64; 3] {
        let clear = self.colours(&self.clear.at(direction), direction);
        if opacity <= 0.0 {
            return clear;
        }
        let overcast = self.colours(&self.overcast.at(direction), direction);
        std::array::from_fn(|i| clear[i] + (overcast[i] - clear[i]) * opacity)
    }

    /// V magnitude per square arcsecond of the clear sky.
    pub(crate) fn clear_mag_arcsec2(&self, direction: Horizontal) -> f64 {
        self.clear.at(direction).mag_arcsec2()
    }

    fn colours(&self, light: &BackgroundLight, direction: Horizontal) -> [f64; 3] {
        let from_sun = (direction.azimuth_deg - self.sun_azimuth_deg).to_radians().cos();
        let low = (-direction.altitude_deg.max(0.0) / 9.0).exp() * (0.5 + 0.5 * from_sun).powi(2);
        Channel::ALL.map(|channel| {
            let i = channel.index();
            let twilit = TWILIT[i] + (AFTERGLOW[i] - TWILIT[i]) * low;
            self.per_nl
                * (light.natural_nl * NATURAL[i]
                    + light.moon_nl * MOONLIT[i]
                    + light.twilight_nl * twilit
                    + light.town_nl * TOWN[i])
        })
    }
}
