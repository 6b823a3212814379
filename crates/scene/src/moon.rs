//! The Moon's disc and the glare of bright lights in the lens.

use sky::{MoonPlace, SunMoon};

use crate::SceneSpec;
use crate::grid::lifted;
use crate::star_light::V_ZERO_PHOTONS;
use crate::vector::{V3, dot, norm, scaled, subtracted};

/// Share of a point's light that a clean lens spreads widely, falling with the square of the angle (our choice: 1 to 3 % in
/// fast wide lenses), and the angles between which it lies, degrees.
const GLARE_SHARE: f64 = 0.015;
const GLARE_DEG: [f64; 2] = [0.25, 60.0];
/// What dew adds to that share.
const DEW_SHARE: f64 = 0.5;
/// Photons s⁻¹ m⁻² sr⁻¹ of a rayleigh.
const RAYLEIGH: f64 = quantity::PHOTONS_PER_RAYLEIGH_M2_S_SR;

/// A light that glares.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Glare {
    direction: V3,
    /// R Å⁻¹ sr by channel.
    light: [f64; 3],
    share: f64,
}

impl Glare {
    pub(crate) fn new(direction: V3, v_mag: f64, colour: [f64; 3], dew: f64) -> Self {
        let light = V_ZERO_PHOTONS / RAYLEIGH * 10f64.powf(-0.4 * v_mag);
        Self { direction, light: colour.map(|c| c * light), share: GLARE_SHARE + DEW_SHARE * dew }
    }

    /// Veil over a direction, R Å⁻¹.
    pub(crate) fn at(&self, direction: V3) -> [f64; 3] {
        let angle = norm(subtracted(direction, self.direction)).max(GLARE_DEG[0].to_radians());
        let rings = std::f64::consts::TAU * (GLARE_DEG[1] / GLARE_DEG[0]).ln();
        self.light.map(|light| light * self.share / (rings * angle * angle))
    }
}

/// Images of the Moon that the lens's surfaces throw: place from the axis as a multiple of the Moon's, radius as a share of
/// the picture's half diagonal, share of its light, colour. Our choice: each is two reflections of one to two per cent.
const GHOSTS: [(f64, f64, f64, [f64; 3]); 4] = [
    (-0.42, 0.035, 1.5e-4, [0.5, 1.0, 0.7]),
    (-0.75, 0.07, 2.5e-4, [0.9, 0.7, 1.2]),
    (-1.15, 0.12, 4.0e-4, [0.6, 1.0, 0.9]),
    (0.55, 0.05, 1.2e-4, [1.2, 0.8, 0.5]),
];

/// An image of the Moon between the lens's surfaces.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ghost {
    centre_px: [f64; 2],
    radius_px: f64,
    /// R Å⁻¹ by channel.
    light: [f64; 3],
}

impl Ghost {
    /// All of a Moon in the picture at a pixel, with the axis at another.
    pub(crate) fn all(
        moon_px: [f64; 2],
        axis_px: [f64; 2],
        half_diagonal_px: f64,
        pixel_sr: f64,
        v_mag: f64,
    ) -> Vec<Self> {
        let whole = V_ZERO_PHOTONS / RAYLEIGH * 10f64.powf(-0.4 * v_mag);
        GHOSTS
            .iter()
            .map(|(place, radius, share, colour)| {
                let radius_px = radius * half_diagonal_px;
                let light = whole * share / (std::f64::consts::PI * radius_px * radius_px * pixel_sr);
                Self {
                    centre_px: std::array::from_fn(|i| axis_px[i] + place * (moon_px[i] - axis_px[i])),
                    radius_px,
                    light: colour.map(|c| c * light),
                }
            })
            .collect()
    }

    /// Light at a pixel; the rim is a little brighter, as a blurred opening's is.
    pub(crate) fn at(&self, [x, y]: [f64; 2]) -> [f64; 3] {
        let r = (x - self.centre_px[0]).hypot(y - self.centre_px[1]) / self.radius_px;
        let inside = 1.0 - crate::texture::smooth_step(0.94, 1.04, r);
        self.light.map(|light| light * inside * (0.7 + 0.6 * r * r))
    }
}

/// V magnitude of the Moon (the law of Krisciunas & Schaefer 1991, equation 20, in magnitudes at mean distance).
pub(crate) fn v_mag(moon: &MoonPlace) -> f64 {
    let a = moon.phase_angle_deg.abs();
    -12.73 + 0.026 * a + 4.0e-9 * a.powi(4)
}

/// The disc in the picture.
pub(crate) struct Disc {
    /// Middle, east, north, up.
    pub(crate) direction: V3,
    radius_rad: f64,
    toward_sun: V3,
    cos_phase: f64,
    /// Brightness of the lit part, R Å⁻¹.
    pub(crate) light: f64,
}

impl Disc {
    /// The Moon above the horizon.
    pub(crate) fn new(spec: &SceneSpec, bodies: &SunMoon) -> Option<Self> {
        let moon = &bodies.moon;
        let direction = lifted(&spec.air, moon.horizontal.east_north_up());
        if direction[2] < 0.0 {
            return None;
        }
        let sun = bodies.sun.horizontal.east_north_up();
        let across = subtracted(sun, scaled(direction, dot(sun, direction)));
        let radius_rad = moon.semidiameter_deg.to_radians();
        let lit_sr = std::f64::consts::PI * radius_rad * radius_rad * moon.lit_fraction.value().max(1e-3);
        let altitude_deg = direction[2].asin().to_degrees();
        let arriving = spec.extinction.transmission(crate::star_light::CHANNEL_NM[1], altitude_deg);
        Some(Self {
            direction,
            radius_rad,
            toward_sun: scaled(across, 1.0 / norm(across).max(1e-9)),
            cos_phase: moon.phase_angle_deg.to_radians().cos(),
            light: arriving * V_ZERO_PHOTONS / RAYLEIGH * 10f64.powf(-0.4 * v_mag(moon)) / lit_sr,
        })
    }

    /// Whether a direction meets the lit part, and whether it meets the disc at all.
    pub(crate) fn at(&self, direction: V3) -> Option<bool> {
        let off = scaled(subtracted(direction, self.direction), 1.0 / self.radius_rad);
        let square = dot(off, off);
        if square > 1.0 {
            return None;
        }
        let toward = dot(off, self.toward_sun);
        let half_chord = (1.0 - (square - toward * toward)).max(0.0).sqrt();
        Some(toward > -self.cos_phase * half_chord)
    }
}
