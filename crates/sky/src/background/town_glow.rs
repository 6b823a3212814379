//! Glow of towns: Walker's law for each, our shape over the sky, or the remainder of a measured zenith value.

use quantity::{Horizontal, wrap_degrees_180, wrap_degrees_360};
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

use super::conditions::SkyConditions;
use super::natural::{NATURAL_ZENITH_MAG, zenith_nl};
use crate::airmass::above_horizon_deg;
use crate::photometry::nanolamberts_from_mag;

/// Relative error of Walker's law with our shape (one standard deviation): lamps per head differ by factors.
pub const WALKER_SIGMA: f64 = 0.7;
/// Beyond this distance a town is left out, km: Walker's law is four times past its range and a million people give 2 %.
pub const BOUNDARY_KM: f64 = 200.0;
/// People per km² of a built-up area, for its radius.
const PEOPLE_PER_KM2: f64 = 4000.0;
/// Least radius of a town, km.
const LEAST_RADIUS_KM: f64 = 1.5;
/// Altitude at which Walker's law holds, degrees.
const WALKER_ALTITUDE_DEG: f64 = 45.0;
/// Fall of the glow with elevation, degrees.
const FALL_DEG: f64 = 20.0;
/// Rise of an even dome of town glow from zenith to horizon: the weight of the same exponential.
const DOME_RISE: f64 = 2.5;
/// Half width of a town's glow along the horizon, degrees.
const HALF_WIDTH_DEG: f64 = 60.0;
/// Share of a measured remainder that follows the towns in azimuth; the rest is even.
const REMAINDER_FOLLOWS: f64 = 0.5;
/// Gain under opaque cloud (3 to 10 near towns; the lower middle).
const CLOUD_GAIN: f64 = 5.0;
/// Gain over snow.
const SNOW_GAIN: f64 = 2.0;
/// Steps of the azimuth profile, one per degree.
const STEPS: usize = 360;

/// A town as a source of glow, seen from a site.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TownGlow {
    /// Direction of its middle from true north through east, degrees.
    pub bearing_deg: f64,
    /// Distance of its middle, km.
    pub distance_km: f64,
    /// People.
    pub population: u32,
}

/// Glow of a town at 45° altitude towards it, as a multiple of the natural sky: `0.01 P d^-2.5`.
///
/// * `population`: people. * `distance_km`: 10 to 50 by the paper; inside the built-up area (4000 people per km², at
///   least 1.5 km) the law would run away, so that radius is the least distance. 0 beyond 200 km and for NaN.
///
/// # Source
///
/// Walker, Publ. Astron. Soc. Pac. 89, 405 (1977): lighting per head of Californian towns of the 1970s.
pub fn walker_ratio(population: u32, distance_km: f64) -> f64 {
    if distance_km.is_nan() || distance_km > BOUNDARY_KM {
        return 0.0;
    }
    0.01 * f64::from(population) * distance_km.max(built_up_radius_km(population)).powf(-2.5)
}

fn built_up_radius_km(population: u32) -> f64 {
    (f64::from(population) / (PI * PEOPLE_PER_KM2)).sqrt().max(LEAST_RADIUS_KM)
}

/// All the glow of all the towns, separated into what depends on azimuth and what on altitude.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct TownDome {
    /// Towns outside of which the site lies, at 45° altitude, by whole degree of azimuth, nL.
    profile_nl: Vec<f64>,
    /// The same towns all in one direction, nL: their glow where azimuth has no meaning.
    together_nl: f64,
    /// Town around the site, overhead, nL.
    around_nl: f64,
    /// Zenith glow that the towns do not explain, nL.
    remainder_nl: f64,
    /// Snow and cloud.
    gain: f64,
    /// Relative error.
    sigma: f64,
}

impl TownDome {
    pub(super) fn new(conditions: &SkyConditions) -> Self {
        let mut dome = Self::of_towns(&conditions.towns);
        dome.gain = weather_gain(conditions);
        if let Some((zenith_mag, sigma_mag)) = conditions.sky_quality.zenith_mag() {
            let total_nl = nanolamberts_from_mag(zenith_mag);
            let measured_nl = (total_nl - zenith_nl(conditions)).max(0.0);
            dome.fit_to_zenith(measured_nl);
            // the error of the meter is one of the whole sky; the town's share of the light carries it
            let relative = 0.4 * std::f64::consts::LN_10 * sigma_mag * total_nl;
            dome.sigma = if measured_nl > 0.0 { (relative / measured_nl).min(WALKER_SIGMA) } else { 0.0 };
        }
        dome
    }

    fn of_towns(towns: &[TownGlow]) -> Self {
        let natural_nl = nanolamberts_from_mag(NATURAL_ZENITH_MAG);
        let mut by_bearing = vec![0.0; STEPS];
        let (mut together_nl, mut around_nl) = (0.0, 0.0);
        for town in towns.iter().filter(|town| town.bearing_deg.is_finite()) {
            let glow_nl = natural_nl * walker_ratio(town.population, town.distance_km);
            let outside = (town.distance_km / built_up_radius_km(town.population)).clamp(0.0, 1.0);
            if glow_nl > 0.0 {
                spread(&mut by_bearing, town.bearing_deg, glow_nl * outside);
                together_nl += glow_nl * outside;
                around_nl += glow_nl * (1.0 - outside) / even_dome(WALKER_ALTITUDE_DEG);
            }
        }
        let profile_nl = widen(&by_bearing);
        Self { profile_nl, together_nl, around_nl, remainder_nl: 0.0, gain: 1.0, sigma: WALKER_SIGMA }
    }

    /// Makes the zenith glow `measured_nl`: towns that give too much are dimmed, what they leave unexplained becomes a dome.
    fn fit_to_zenith(&mut self, measured_nl: f64) {
        let towns_nl = self.together_nl * elevation_factor(90.0) + self.around_nl;
        if towns_nl > measured_nl {
            let dimmed = measured_nl / towns_nl;
            self.profile_nl.iter_mut().for_each(|glow| *glow *= dimmed);
            self.together_nl *= dimmed;
            self.around_nl *= dimmed;
        } else {
            self.remainder_nl = measured_nl - towns_nl;
        }
    }

    pub(super) fn at(&self, direction: Horizontal) -> f64 {
        let altitude_deg = direction.altitude_deg;
        let sided = azimuth_weight(altitude_deg);
        let here_nl = self.profile_at(direction.azimuth_deg);
        let towns_nl = ((1.0 - sided) * self.together_nl + sided * here_nl) * elevation_factor(altitude_deg);
        let dome_nl =
            (self.around_nl + self.remainder_nl * self.remainder_side(here_nl, sided)) * even_dome(altitude_deg);
        self.gain * (towns_nl + dome_nl)
    }

    pub(super) fn sigma(&self) -> f64 {
        self.sigma
    }

    /// How much of the unexplained glow lies in this direction; 1 on average over azimuth, and 1 at the zenith.
    fn remainder_side(&self, here_nl: f64, sided: f64) -> f64 {
        let mean_nl = self.together_nl * HALF_WIDTH_DEG / 360.0;
        if mean_nl <= 0.0 {
            return 1.0;
        }
        1.0 + REMAINDER_FOLLOWS * sided * (here_nl / mean_nl - 1.0)
    }

    fn profile_at(&self, azimuth_deg: f64) -> f64 {
        let (index, share) = step_of(azimuth_deg);
        self.profile_nl[index] * (1.0 - share) + self.profile_nl[(index + 1) % STEPS] * share
    }
}

fn weather_gain(conditions: &SkyConditions) -> f64 {
    let snow = if conditions.snow_cover { SNOW_GAIN } else { 1.0 };
    snow * (1.0 + (CLOUD_GAIN - 1.0) * conditions.cloud.opacity())
}

/// Glow at an altitude over that at 45°, towards the town: `exp(-e/20°)`, our shape.
fn elevation_factor(altitude_deg: f64) -> f64 {
    ((WALKER_ALTITUDE_DEG - above_horizon_deg(altitude_deg)) / FALL_DEG).exp()
}

/// An even dome over its zenith value: 1.2 at 45°, 1.9 at 20°, 3.4 on the horizon. Our shape.
fn even_dome(altitude_deg: f64) -> f64 {
    let rise = |e: f64| 1.0 + DOME_RISE * (-e / FALL_DEG).exp();
    rise(above_horizon_deg(altitude_deg)) / rise(90.0)
}

/// How far azimuth counts: fully up to 45°, not at all at the zenith.
fn azimuth_weight(altitude_deg: f64) -> f64 {
    let at_45 = WALKER_ALTITUDE_DEG.to_radians().cos();
    (above_horizon_deg(altitude_deg).to_radians().cos() / at_45).min(1.0)
}

/// `cos²` that reaches zero 60° to either side of the town.
fn azimuth_factor(offset_deg: f64) -> f64 {
    if offset_deg.abs() < HALF_WIDTH_DEG {
        (offset_deg * 90.0 / HALF_WIDTH_DEG).to_radians().cos().powi(2)
    } else {
        0.0
    }
}

fn step_of(azimuth_deg: f64) -> (usize, f64) {
    let azimuth_deg = wrap_degrees_360(azimuth_deg);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "0..360 by construction; NaN casts to 0"
    )]
    let index = (azimuth_deg as usize).min(STEPS - 1);
    (index, azimuth_deg - index as f64)
}

fn spread(by_bearing: &mut [f64], bearing_deg: f64, glow_nl: f64) {
    let (index, share) = step_of(bearing_deg);
    by_bearing[index] += glow_nl * (1.0 - share);
    by_bearing[(index + 1) % STEPS] += glow_nl * share;
}

/// Gives every bearing its width. Whole degrees: wrong by 2e-4 at most.
fn widen(by_bearing: &[f64]) -> Vec<f64> {
    let shape: Vec<f64> = (0..STEPS).map(|step| azimuth_factor(wrap_degrees_180(step as f64))).collect();
    let mut profile = vec![0.0; STEPS];
    for (bearing, glow_nl) in by_bearing.iter().enumerate().filter(|(_, glow_nl)| **glow_nl > 0.0) {
        for (azimuth, sum) in profile.iter_mut().enumerate() {
            *sum += glow_nl * shape[(azimuth + STEPS - bearing) % STEPS];
        }
    }
    profile
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_site_inside_a_town_stays_below_a_city_square() {
        assert!(walker_ratio(1_000_000, 0.0) < 100.0);
        assert!(walker_ratio(1000, -5.0) < 10.0);
        assert!(walker_ratio(1000, f64::NAN).abs() < f64::EPSILON);
    }

    #[test]
    fn a_town_lights_its_own_side_only() {
        let towns = [TownGlow { bearing_deg: 350.3, distance_km: 20.0, population: 50_000 }];
        let dome = TownDome::of_towns(&towns);
        let at = |azimuth_deg| dome.at(Horizontal::new(20.0, azimuth_deg));
        assert!(at(350.3) > at(10.0) && at(10.0) > at(45.0));
        assert!(at(170.0).abs() < 1e-12);
        let zenith = dome.at(Horizontal::new(90.0, 0.0));
        assert!((zenith / dome.at(Horizontal::new(90.0, 180.0)) - 1.0).abs() < 1e-9);
        assert!(zenith > 0.0);
    }
}
