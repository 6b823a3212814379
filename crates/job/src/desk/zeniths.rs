//! Which zeniths the stars of a picture allow: each is a latitude and a sidereal time.
//!
//! A picture of stars fixes the camera among the stars, not on the ground. The zenith is what ties the two together, and a
//! picture only bounds it: its stars were up, its ground was near the horizon, its camera was held more or less level.

use super::camera::Camera;
use super::vector::{Vector, dot, height_deg, of_ra_dec};

/// Lowest altitude of a star in a picture, degrees: the air lifts by half, a mountain's horizon dips by one.
const LOWEST_STAR_DEG: f64 = -1.5;
/// Share of the stars that must be up: a few pairs are chance.
const LEAST_UP: f64 = 0.95;
/// Deviations that a camera's tilt may have at all, and usually has.
const TILT_SIGMAS: f64 = 3.0;
const USUAL_TILT_SIGMAS: f64 = 2.0;
/// How far an upright camera for the whole sky may lean, degrees (judgement).
const ALL_SKY_LEAN_DEG: f64 = 10.0;
/// Altitudes of a skyline, degrees: from a hilltop to mountains, trees and houses near by (judgement), and the narrower range
/// within which most are.
const SKYLINE_DEG: [f64; 2] = [-8.0, 40.0];
const USUAL_SKYLINE_DEG: [f64; 2] = [-4.0, 16.0];
/// Spacing of the zeniths tried, degrees.
pub(super) const STEP_DEG: f64 = 1.0;

/// How strictly a zenith is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Judgement {
    /// What can be at all.
    Possible,
    /// What is usual.
    Usual,
}

/// What speaks against a zenith.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Against {
    /// So many of the stars would be below the horizon, the lowest so low.
    StarsDown { down: usize, of: usize, lowest_deg: f64 },
    /// The horizon drawn would not be level, at its worst end by degrees.
    HorizonOff { by_deg: f64 },
    /// The camera would be tilted by degrees, with ground in the picture that says which way is down.
    Tilted { by_deg: f64 },
    /// The skyline would stand at this altitude.
    Skyline { altitude_deg: f64 },
    /// The camera would be tilted, but nothing in the picture says that it was not.
    PerhapsTilted { by_deg: f64 },
    /// A camera for the whole sky would not look straight up.
    Leaning { by_deg: f64 },
}

impl Against {
    /// Whether it rests on something seen, not on how cameras are usually held.
    pub(super) fn is_seen(self) -> bool {
        match self {
            Self::StarsDown { .. } | Self::HorizonOff { .. } | Self::Tilted { .. } | Self::Skyline { .. } => true,
            Self::PerhapsTilted { .. } | Self::Leaning { .. } => false,
        }
    }
}

/// What is asked of a zenith.
pub(super) struct Allowed<'a> {
    pub(super) camera: &'a Camera,
    /// Deviation of level of the camera, or of the horizon where one is given, degrees.
    pub(super) level_deg: f64,
}

impl Allowed<'_> {
    /// What speaks against a zenith the most; `None` where nothing does.
    pub(super) fn against(&self, zenith: Vector, how: Judgement) -> Option<Against> {
        self.stars_down(zenith).or_else(|| self.level(zenith, how)).or_else(|| self.skyline(zenith, how))
    }

    /// Whether anything but the stars bounds the zenith.
    pub(super) fn is_bounded(&self) -> bool {
        self.camera.is_all_sky || self.camera.horizon.is_some() || !self.camera.skyline.is_empty()
    }

    /// All zeniths that nothing speaks against, about evenly over the sky.
    pub(super) fn zeniths(&self, how: Judgement) -> Vec<Vector> {
        let mut found = Vec::new();
        let mut dec_deg = -90.0 + 0.5 * STEP_DEG;
        while dec_deg < 90.0 {
            let step = STEP_DEG / dec_deg.to_radians().cos();
            let mut ra_deg = 0.0;
            while ra_deg < 360.0 {
                let zenith = of_ra_dec([ra_deg, dec_deg]);
                if self.against(zenith, how).is_none() {
                    found.push(zenith);
                }
                ra_deg += step;
            }
            dec_deg += STEP_DEG;
        }
        found
    }

    fn stars_down(&self, zenith: Vector) -> Option<Against> {
        let lowest = LOWEST_STAR_DEG.to_radians().sin();
        let stars = &self.camera.stars;
        let down = stars.iter().filter(|star| dot(**star, zenith) < lowest).count();
        if (down as f64) <= (1.0 - LEAST_UP) * stars.len() as f64 {
            return None;
        }
        let lowest_deg = stars.iter().map(|star| height_deg(*star, zenith)).fold(90.0, f64::min);
        Some(Against::StarsDown { down, of: stars.len(), lowest_deg })
    }

    fn level(&self, zenith: Vector, how: Judgement) -> Option<Against> {
        let sigmas = match how {
            Judgement::Possible => TILT_SIGMAS,
            Judgement::Usual => USUAL_TILT_SIGMAS,
        };
        let most = sigmas * self.level_deg;
        if let Some(ends) = self.camera.horizon {
            let off = ends.map(|end| height_deg(end, zenith));
            let by_deg = if off[0].abs() > off[1].abs() { off[0] } else { off[1] };
            // the sky is on the side of the picture's top
            let is_upright = dot(self.camera.up, zenith) > 0.0 || self.camera.is_all_sky;
            return (by_deg.abs() > most || !is_upright).then_some(Against::HorizonOff { by_deg });
        }
        if self.camera.is_all_sky {
            let by_deg = 90.0 - height_deg(self.camera.forward, zenith);
            return (by_deg > ALL_SKY_LEAN_DEG).then_some(Against::Leaning { by_deg });
        }
        let tilt = height_deg(self.camera.right, zenith);
        let is_upright = dot(self.camera.up, zenith) > -most.to_radians().sin();
        let by_deg = if is_upright { tilt } else { 180.0 - tilt.abs() };
        if by_deg.abs() <= most {
            return None;
        }
        Some(if self.camera.skyline.is_empty() {
            Against::PerhapsTilted { by_deg }
        } else {
            Against::Tilted { by_deg }
        })
    }

    fn skyline(&self, zenith: Vector, how: Judgement) -> Option<Against> {
        if self.camera.horizon.is_some() {
            return None;
        }
        let altitude_deg = skyline_deg(self.camera, zenith)?;
        let [low, high] = match how {
            Judgement::Possible => SKYLINE_DEG,
            Judgement::Usual => USUAL_SKYLINE_DEG,
        };
        (!(low..=high).contains(&altitude_deg)).then_some(Against::Skyline { altitude_deg })
    }
}

/// Median altitude of the skyline under a zenith, degrees.
pub(super) fn skyline_deg(camera: &Camera, zenith: Vector) -> Option<f64> {
    let mut altitudes: Vec<f64> = camera.skyline.iter().map(|place| height_deg(*place, zenith)).collect();
    altitudes.sort_by(f64::total_cmp);
    altitudes.get(altitudes.len() / 2).copied()
}
