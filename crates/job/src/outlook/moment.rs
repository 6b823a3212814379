//! One instant of the outlook: every direction, every member, three chances.

use aurora::variability::{ARC_SIGMA_DEX, arc_factor_median, chance_above};
use aurora::{EFFICIENCY_RELATIVE_SIGMA, SkyMoment};
use quantity::{Basis, Estimate, Fraction, Horizontal, LineBrightness};
use sky::background::BackgroundLight;

use super::detector::{Detectors, Margins};
use super::members::Ensemble;
use super::{BrightestPatch, Chances};
use crate::site_sky::{SiteSky, SkyNow};

/// Spread of what observers see and report, decimal logarithm: field factors of 1.4 to 2.4 (Crumey 2014) as +-1 sigma.
const OBSERVER_SIGMA_DEX: f64 = 0.12;

/// Directions below this above the skyline are not counted on, degrees.
const CLEARANCE_DEG: f64 = 0.5;

/// What the outlook makes of one instant, sky clear.
pub(super) struct Moment {
    pub(super) brightest: BrightestPatch,
    /// Chances under a clear sky.
    pub(super) clear_chances: Chances,
}

/// Total spread of an arc's brightness about the model's median, decimal logarithm.
pub(crate) fn arc_spread_dex() -> f64 {
    let efficiency_dex = (1.0 + EFFICIENCY_RELATIVE_SIGMA[1]).log10();
    ARC_SIGMA_DEX.hypot(efficiency_dex)
}

/// Directions in which the outlook looks: rows of altitude, twenty-four azimuths, the zenith once.
///
/// Nothing below 7 degrees: haze and hills there are not known.
pub(super) fn directions(site: &crate::Site) -> Vec<Horizontal> {
    rows_of(site, &[7.0, 11.0, 16.0, 23.0, 32.0, 43.0, 56.0, 72.0], 24)
}

/// The same, fewer: for comparing sites.
pub(super) fn few_directions(site: &crate::Site) -> Vec<Horizontal> {
    rows_of(site, &[7.0, 12.0, 20.0, 33.0, 52.0], 16)
}

fn rows_of(site: &crate::Site, altitudes_deg: &[f64], azimuths: u32) -> Vec<Horizontal> {
    let mut directions = Vec::with_capacity(altitudes_deg.len() * azimuths as usize + 1);
    for &altitude_deg in altitudes_deg {
        for step in 0..azimuths {
            let azimuth_deg = f64::from(step) * 360.0 / f64::from(azimuths);
            if altitude_deg > site.skyline_deg(azimuth_deg) + CLEARANCE_DEG {
                directions.push(Horizontal::new(altitude_deg, azimuth_deg));
            }
        }
    }
    directions.push(Horizontal::new(90.0, 0.0));
    directions
}

/// Evaluates one instant.
pub(super) fn moment(sky: &SiteSky<'_>, now: &SkyNow, ensemble: &Ensemble, detectors: &Detectors) -> Moment {
    let backgrounds: Vec<BackgroundLight> =
        sky.sampler.directions().iter().map(|&direction| now.background.at(direction)).collect();
    let thresholds: Vec<_> = backgrounds.iter().map(|background| detectors.thresholds(background)).collect();
    let spread = arc_spread_dex();
    let mut chances = [0.0; 3];
    let mut log_brightness = Spread::default();
    let factors: Vec<f64> =
        sky.sampler.directions().iter().map(|direction| arc_factor_median(direction.altitude_deg)).collect();
    let central = brightness(sky, now, ensemble, ensemble.central);
    let best = best_direction(&central, &factors, &thresholds, detectors);
    for (index, member) in ensemble.members.iter().enumerate() {
        let light = brightness(sky, now, ensemble, index);
        let margins = light
            .iter()
            .zip(&factors)
            .zip(&thresholds)
            .map(|((mean, factor), threshold)| detectors.margins(&mean.scaled(*factor), threshold))
            .fold(Margins::NONE, Margins::best);
        let sigmas = [spread.hypot(OBSERVER_SIGMA_DEX), spread.hypot(OBSERVER_SIGMA_DEX), spread];
        for ((chance, margin), sigma) in chances.iter_mut().zip(margins.as_array()).zip(sigmas) {
            *chance += member.weight * chance_above(margin, sigma);
        }
        log_brightness.add(light[best].green_5577_kr.max(1e-4).log10(), member.weight);
    }
    let arc_kr = central[best].green_5577_kr * factors[best];
    Moment {
        brightest: BrightestPatch {
            direction: sky.sampler.directions()[best],
            mean_kr: central[best],
            brightest_arc_kr: Estimate::logarithmic(arc_kr, spread.hypot(log_brightness.sigma()), Basis::Model),
            looks_like: super::detector::looks_like(arc_kr),
            background_mag_arcsec2: background_estimate(&backgrounds[best]),
        },
        clear_chances: Chances {
            eye_sees: Fraction::clamped(chances[0]),
            eye_sees_colour: Fraction::clamped(chances[1].min(chances[0])),
            camera_records: Fraction::clamped(chances[2]),
        },
    }
}

/// Chance for the eye alone at an instant: what the search for the Kp needed asks many times.
pub(super) fn eye_chance(sky: &SiteSky<'_>, now: &SkyNow, ensemble: &Ensemble, detectors: &Detectors) -> f64 {
    moment(sky, now, ensemble, detectors).clear_chances.eye_sees.value()
}

/// The sky's own brightness with its error.
pub(super) fn background_estimate(background: &BackgroundLight) -> Estimate {
    Estimate::symmetric(background.mag_arcsec2(), background.sigma_mag(), Basis::Model)
}

fn brightness(sky: &SiteSky<'_>, now: &SkyNow, ensemble: &Ensemble, member: usize) -> Vec<LineBrightness> {
    let member = &ensemble.members[member];
    let moment = SkyMoment::new(&ensemble.ovals[member.oval], &sky.emission, &now.clock)
        .shifted_equatorward(member.equatorward_shift_deg);
    sky.sampler.brightness(&moment)
}

/// Where the aurora stands out most for the eye; for the camera where the eye has no chance anywhere.
fn best_direction(
    light: &[LineBrightness],
    factors: &[f64],
    thresholds: &[super::detector::Thresholds],
    detectors: &Detectors,
) -> usize {
    let margin = |index: usize| detectors.margins(&light[index].scaled(factors[index]), &thresholds[index]);
    (0..light.len()).max_by(|&a, &b| margin(a).eye.total_cmp(&margin(b).eye)).unwrap_or(0)
}

/// Weighted mean and variance.
#[derive(Default)]
struct Spread {
    weight: f64,
    sum: f64,
    squares: f64,
}

impl Spread {
    fn add(&mut self, value: f64, weight: f64) {
        self.weight += weight;
        self.sum += weight * value;
        self.squares += weight * value * value;
    }

    fn sigma(&self) -> f64 {
        if self.weight <= 0.0 {
            return 0.0;
        }
        let mean = self.sum / self.weight;
        (self.squares / self.weight - mean * mean).max(0.0).sqrt()
    }
}
