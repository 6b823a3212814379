//! The sky in the water: what is mirrored, how faint, and whether the wind allows it.

use quantity::{Horizontal, wrap_degrees_360};
use serde::{Deserialize, Serialize};

use super::light::SkyLight;
use super::request::StandRequest;
use crate::framing::{FramePlace, Framing, milli};
use crate::{Site, WaterBearing};

/// Refractive index of water for visible light.
const WATER_INDEX: f64 = 1.333;
/// Wind at 10 m up to which water lies like a mirror, then shows soft pillars, then only a glow, m/s.
///
/// Beaufort 0 and 1 (WMO) and the wave slopes of Cox & Munk 1954; classes are this project's judgement.
const OPEN_LIMITS_M_S: [f64; 3] = [0.5, 2.0, 5.5];
/// The same in a lee: small waters stay flat to about 2 m/s (common practice, no source); the rest is doubled.
const SHELTERED_LIMITS_M_S: [f64; 3] = [2.0, 4.0, 8.0];
/// Cox & Munk, J. Opt. Soc. Am. 44, 838 (1954): slope variance of open water `0.003 + 0.00512 U`.
const SLOPE_VARIANCE: [f64; 2] = [0.003, 0.00512];
/// Spacing at which a stretch of water is looked along, degrees.
const STEP_DEG: f64 = 1.0;

/// What the surface makes of the sky.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum MirrorSurface {
    /// A picture of the sky, upside down.
    Mirror,
    /// Bright parts drawn out into upright pillars.
    SoftPillars,
    /// No shape, only light.
    GlowOnly,
    /// Too rough to give much back.
    None,
    /// The wind is not known.
    CannotTell,
}

/// One stretch of water and what it mirrors.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct MirrorStretch {
    /// First azimuth, degrees.
    pub from_deg: f64,
    /// Last azimuth, degrees, clockwise from the first.
    pub to_deg: f64,
    /// Whether it lies in the lee.
    pub sheltered: bool,
    /// Whether any of it is in the picture.
    pub inside: bool,
    /// What the wind allows.
    pub surface: MirrorSurface,
    /// Wind it was judged by, m/s at 10 m; none where not known.
    pub wind_m_s: Option<f64>,
    /// How far waves smear a mirrored point, degrees (one standard deviation); none for a mirror and for unknown wind.
    pub smear_deg: Option<f64>,
    /// Lowest altitude of the sky whose image the picture holds, degrees: the far shore's skyline hides what is below.
    pub sky_from_deg: Option<f64>,
    /// Highest such altitude, degrees.
    pub sky_to_deg: Option<f64>,
    /// The brightest mirrored part, where the aurora's light is known and its image is in the picture.
    pub brightest: Option<MirroredLight>,
}

/// The brightest light a stretch of water gives back.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct MirroredLight {
    /// Where it stands in the sky.
    pub sky: Horizontal,
    /// Where its image is.
    pub place: FramePlace,
    /// Share of the light given back.
    pub reflectance: f64,
    /// How much fainter than the sky itself, stops.
    pub loss_stops: f64,
    /// Mirrored green light of the mean oval, kR.
    pub mirrored_kr: f64,
}

impl MirrorStretch {
    /// Whether an azimuth lies on it.
    pub(super) fn holds(&self, azimuth_deg: f64) -> bool {
        wrap_degrees_360(azimuth_deg - self.from_deg) <= length_deg(self.from_deg, self.to_deg)
    }
}

/// Share of unpolarised light that still water gives back at an altitude: Fresnel's equations, index 1.333.
///
/// * `altitude_deg`: of the light above the surface, 0 (grazing, all of it) to 90 (2 in 100).
pub(super) fn fresnel_reflectance(altitude_deg: f64) -> f64 {
    let (sin, cos) = altitude_deg.clamp(0.0, 90.0).to_radians().sin_cos();
    // the angle of incidence is from the vertical, so its cosine is the sine of the altitude
    let inside = (WATER_INDEX * WATER_INDEX - cos * cos).sqrt();
    let across = (sin - inside) / (sin + inside);
    let along = (WATER_INDEX * WATER_INDEX * sin - inside) / (WATER_INDEX * WATER_INDEX * sin + inside);
    0.5 * (across * across + along * along)
}

/// Every stretch of water of the site, as the framing shows it.
pub(super) fn mirror(request: &StandRequest, light: Option<&SkyLight>, framing: &Framing) -> Vec<MirrorStretch> {
    let wind_m_s = request.weather.at(request.at).and_then(|hour| hour.wind_m_s);
    request.site.water.iter().map(|water| stretch(water, wind_m_s, &request.site, light, framing)).collect()
}

/// What a wind leaves of a mirror.
pub(super) fn surface(wind_m_s: Option<f64>, sheltered: bool) -> MirrorSurface {
    let limits = if sheltered { SHELTERED_LIMITS_M_S } else { OPEN_LIMITS_M_S };
    match wind_m_s {
        None => MirrorSurface::CannotTell,
        Some(wind) if wind < limits[0] => MirrorSurface::Mirror,
        Some(wind) if wind < limits[1] => MirrorSurface::SoftPillars,
        Some(wind) if wind < limits[2] => MirrorSurface::GlowOnly,
        Some(_) => MirrorSurface::None,
    }
}

/// Smear of a mirrored point on open water, degrees: twice the tilt of the surface.
fn smear_deg(wind_m_s: f64) -> f64 {
    2.0 * (SLOPE_VARIANCE[0] + SLOPE_VARIANCE[1] * wind_m_s).sqrt().atan().to_degrees()
}

/// Degrees from one azimuth clockwise to another; the same azimuth twice is all the way around.
fn length_deg(from_deg: f64, to_deg: f64) -> f64 {
    let length = wrap_degrees_360(to_deg - from_deg);
    if length > 0.0 { length } else { 360.0 }
}

fn stretch(
    water: &WaterBearing,
    wind_m_s: Option<f64>,
    site: &Site,
    light: Option<&SkyLight>,
    framing: &Framing,
) -> MirrorStretch {
    let surface = surface(wind_m_s, water.sheltered);
    let seen = mirrored_sky(water, site, framing);
    let altitudes = || seen.iter().map(|(sky, _)| sky.altitude_deg);
    let brightest = light.and_then(|light| {
        seen.iter()
            .map(|&(sky, place)| mirrored(sky, place, light))
            .filter(|found| found.mirrored_kr > 0.0)
            .max_by(|a, b| a.mirrored_kr.total_cmp(&b.mirrored_kr))
    });
    let smears = !water.sheltered && matches!(surface, MirrorSurface::SoftPillars | MirrorSurface::GlowOnly);
    MirrorStretch {
        from_deg: wrap_degrees_360(water.from_deg),
        to_deg: wrap_degrees_360(water.to_deg),
        sheltered: water.sheltered,
        inside: !seen.is_empty(),
        surface,
        wind_m_s,
        smear_deg: wind_m_s.filter(|_| smears).map(|wind| milli(smear_deg(wind))),
        sky_from_deg: altitudes().reduce(f64::min),
        sky_to_deg: altitudes().reduce(f64::max),
        brightest,
    }
}

/// Directions of the sky above the far shore's skyline whose image in this water is in the picture.
fn mirrored_sky(water: &WaterBearing, site: &Site, framing: &Framing) -> Vec<(Horizontal, FramePlace)> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 360")]
    let count = (length_deg(water.from_deg, water.to_deg) / STEP_DEG) as u32;
    let azimuths = (0..=count).map(|i| wrap_degrees_360(water.from_deg + f64::from(i) * STEP_DEG));
    azimuths
        .flat_map(|azimuth| (0..=90).map(move |altitude| Horizontal::new(f64::from(altitude) * STEP_DEG, azimuth)))
        .filter(|sky| sky.altitude_deg >= site.skyline_deg(sky.azimuth_deg))
        .map(|sky| (sky, framing.place(image_of(sky))))
        .filter(|(_, place)| place.inside)
        .collect()
}

/// Where the image of a direction stands: as far below the horizon as the direction is above.
fn image_of(sky: Horizontal) -> Horizontal {
    Horizontal::new(-sky.altitude_deg, sky.azimuth_deg)
}

fn mirrored(sky: Horizontal, place: FramePlace, light: &SkyLight) -> MirroredLight {
    let reflectance = fresnel_reflectance(sky.altitude_deg);
    MirroredLight {
        sky,
        place,
        reflectance: milli(reflectance),
        loss_stops: milli(-reflectance.log2()),
        mirrored_kr: (light.green_kr(sky) * reflectance * 1e4).round() / 1e4,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reflectance_is_the_tabulated_one() {
        // Fresnel, n 1.333, unpolarised, by elevation; worked with two figures from the equations in another program.
        const ROUNDING: f64 = 0.006;
        for (elevation_deg, share) in [
            (2.0, 0.80),
            (5.0, 0.58),
            (10.0, 0.35),
            (15.0, 0.21),
            (20.0, 0.13),
            (30.0, 0.060),
            (45.0, 0.028),
            (90.0, 0.020),
        ] {
            let found = fresnel_reflectance(elevation_deg);
            assert!((found - share).abs() < ROUNDING, "{elevation_deg}: {found}");
        }
        assert!((fresnel_reflectance(0.0) - 1.0).abs() < 1e-12);
        // normal incidence in closed form: ((n - 1) / (n + 1))²
        assert!((fresnel_reflectance(90.0) - (0.333_f64 / 2.333).powi(2)).abs() < 1e-12);
    }

    #[test]
    fn a_mirrored_point_is_smeared_by_twice_the_tilt_of_the_waves() {
        // rms tilt of Cox & Munk's slopes at 1, 2, 3 m/s: 5.2, 6.6, 7.8 degrees
        const ROUNDING_DEG: f64 = 0.1;
        for (wind, tilt_deg) in [(1.0, 5.2), (2.0, 6.6), (3.0, 7.8)] {
            assert!((smear_deg(wind) / 2.0 - tilt_deg).abs() < ROUNDING_DEG, "{wind}: {}", smear_deg(wind) / 2.0);
        }
    }

    #[test]
    fn wind_unmakes_the_mirror_step_by_step_and_a_lee_keeps_it_longer() {
        let of = |wind: f64, sheltered| surface(Some(wind), sheltered);
        assert_eq!(
            [0.2, 1.0, 3.0, 8.0].map(|wind| of(wind, false)),
            [MirrorSurface::Mirror, MirrorSurface::SoftPillars, MirrorSurface::GlowOnly, MirrorSurface::None]
        );
        assert_eq!(of(1.5, true), MirrorSurface::Mirror);
        assert_eq!(surface(None, true), MirrorSurface::CannotTell);
    }

    #[test]
    fn a_stretch_may_straddle_north() {
        let stretch = |from_deg, to_deg| MirrorStretch {
            from_deg,
            to_deg,
            sheltered: false,
            inside: false,
            surface: MirrorSurface::CannotTell,
            wind_m_s: None,
            smear_deg: None,
            sky_from_deg: None,
            sky_to_deg: None,
            brightest: None,
        };
        assert!(stretch(330.0, 40.0).holds(0.0) && stretch(330.0, 40.0).holds(335.0));
        assert!(!stretch(330.0, 40.0).holds(180.0) && !stretch(330.0, 40.0).holds(41.0));
        assert!(stretch(0.0, 0.0).holds(217.0));
    }
}
