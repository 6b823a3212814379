//! The fit of one channel to its stars.

use optics::Channel;
use quantity::EmissionLine;
use sky::Extinction;
use sky::photometry::V_WAVELENGTH_NM;

use super::aperture::{Aperture, Buffers, Light, light};
use super::band::{colour_term_mag, star_photons_m2_s_nm, wavelength_of_nm};
use super::fit::{AIR, COLOUR, FALLOFF, Prior, Row, SLOPE, Solved, TERMS, ZERO, fit, median};
use super::geometry::Geometry;
use super::hints::FilterHint;
use super::result::{ChannelCalibration, FittedTerm, optics_channel};
use super::targets::Target;
use crate::LightChannel;
use crate::window::Windows;

/// Light over noise from which a star is used: 0.14 mag.
const LEAST_SNR: f64 = 8.0;
/// Deepest air in which stars are used: beyond, haze rules.
const MOST_AIRMASS: f64 = 6.0;
/// Share of full scale up to which a linear star is used.
const MOST_LEVEL_LINEAR: f64 = 0.95;
/// The same in a developed picture: above, tone curves flatten (judgement).
const MOST_LEVEL_DEVELOPED: f64 = 0.7;
/// Share of a ring's samples at the picture's floor from which its sky is cut off and its star is not used.
const MOST_AT_FLOOR: f64 = 0.3;
/// Middle magnitude of linear pictures, and the faint end of developed ones, whose stars stand as high above the sky as a glow.
const REFERENCE_QUANTILE: [f64; 2] = [0.5, 0.75];

/// Deviations of what is assumed beforehand.
const SLOPE_SIGMA_LINEAR: f64 = 0.002;
const SLOPE_SIGMA_FREE: f64 = 0.5;
const SLOPE_SIGMA_DEVELOPED: f64 = 0.3;
/// Cameras differ from the measured one so much in the colour term (from memory: 0.1 to 0.15 mag).
const COLOUR_SIGMA: f64 = 0.15;
/// Unfiltered silicon sees red stars brighter than V does (from memory: -0.3 to 0).
const COLOUR_GREY: [f64; 2] = [-0.15, 0.25];
/// A narrow band, whose wavelength is known.
const COLOUR_SIGMA_NARROW: f64 = 0.1;
/// Clear air varies so much, magnitudes per airmass (science of the trade: 0.25 ± 0.1 at sea level).
const EXTINCTION_SIGMA: f64 = 0.1;
/// Falloff of stars' light toward the corner beside the pixel's solid angle: a stop or so in all for lenses wide open, of
/// which two thirds grow with the square of the distance (judgement, after plain and fast lenses).
const FALLOFF_MAG: [f64; 2] = [0.6, 0.3];
const FALLOFF_SIGMA_MAG: [f64; 2] = [0.45, 0.4];
/// A term is fitted when its deviation is below this share of that assumed.
const FITTED_SHARE: f64 = 0.7;
/// Stars of the brightest in which the light outside the circle is measured, and their least light over noise.
const GROWTH_STARS: usize = 40;
const GROWTH_SNR: f64 = 40.0;
/// Fewest of them.
const GROWTH_LEAST: usize = 4;
/// Most light that stars have outside the circle, magnitudes: more is neighbours.
const GROWTH_MOST_MAG: f64 = 0.3;
/// Assumed where it cannot be measured: wings of usual lenses (judgement).
const GROWTH_ASSUMED: [f64; 2] = [0.03, 0.05];

/// A star as measured in one channel.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Measured {
    pub(crate) target: Target,
    pub(crate) light: Light,
    /// Airmass and the two terms of the falloff.
    air: f64,
    falloff: [f64; 2],
}

/// What the fits of all channels share.
pub(crate) struct Bench<'a> {
    pub(crate) windows: Windows<'a>,
    pub(crate) geometry: Geometry<'a>,
    pub(crate) aperture: Aperture,
    pub(crate) targets: Vec<Target>,
    /// Plane value from which a sample is full.
    pub(crate) full: Option<f64>,
    pub(crate) developed: bool,
    pub(crate) height_m: f64,
    pub(crate) filter: Option<FilterHint>,
}

impl Bench<'_> {
    /// Every target measured in a channel, found or not, spoilt or not.
    pub(crate) fn measure(&self, channel: LightChannel) -> Vec<Measured> {
        let mut buffers = Buffers::default();
        let of = |target: &Target| {
            let sight = self.geometry.sight(target.place)?;
            let light = light(&self.windows, optics_channel(channel), target.place, &self.aperture, &mut buffers)?;
            Some(Measured { target: *target, light, air: sight.airmass, falloff: sight.falloff_terms() })
        };
        self.targets.iter().filter_map(of).collect()
    }

    fn is_usable(&self, star: &Measured) -> bool {
        let share = if self.developed { MOST_LEVEL_DEVELOPED } else { MOST_LEVEL_LINEAR };
        star.target.found
            && !star.target.spoilt
            && star.air <= MOST_AIRMASS
            && star.light.flux > LEAST_SNR * star.light.sigma
            && star.light.at_floor < MOST_AT_FLOOR
            && self.full.is_none_or(|full| star.light.top < share * full)
    }

    /// Stars that a fit can rest on.
    pub(crate) fn usable(&self, measured: &[Measured]) -> Vec<Measured> {
        measured.iter().filter(|star| self.is_usable(star)).copied().collect()
    }

    /// Light outside the circle, magnitudes: what twice the radius holds more.
    fn growth(&self, channel: LightChannel, stars: &[Measured]) -> FittedTerm {
        let twice = self.aperture.twice();
        let mut buffers = Buffers::default();
        let mut bright: Vec<&Measured> =
            stars.iter().filter(|star| star.light.flux > GROWTH_SNR * star.light.sigma).collect();
        bright.sort_by(|a, b| b.light.flux.total_cmp(&a.light.flux));
        let mut growths: Vec<f64> = bright
            .iter()
            .take(GROWTH_STARS)
            .filter_map(|star| {
                let wide = light(&self.windows, optics_channel(channel), star.target.place, &twice, &mut buffers)?;
                Some(2.5 * (wide.flux / star.light.flux).log10()).filter(|mag| mag.is_finite())
            })
            .collect();
        let assumed = FittedTerm { value: GROWTH_ASSUMED[0], sigma: GROWTH_ASSUMED[1], fitted: false };
        let Some(middle) = median(&mut growths).filter(|_| growths.len() >= GROWTH_LEAST) else { return assumed };
        let mut distances: Vec<f64> = growths.iter().map(|growth| (growth - middle).abs()).collect();
        let scatter = 1.4826 * median(&mut distances).unwrap_or_default();
        let value = middle.clamp(0.0, GROWTH_MOST_MAG);
        // what lies beyond twice the radius is not seen: half as much again at most for the wings of usual lenses
        let sigma = (scatter / (growths.len() as f64).sqrt()).hypot(0.5 * value).max(0.01);
        FittedTerm { value, sigma, fitted: true }
    }

    fn prior(&self, channel: LightChannel, falloff: Option<&Solved>, slope_sigma: f64) -> Prior {
        let (colour, wavelength_nm) = match (channel, self.filter) {
            (LightChannel::Grey, None) => (COLOUR_GREY, V_WAVELENGTH_NM),
            (LightChannel::Grey, Some(filter)) => {
                let photons = |colour| star_photons_m2_s_nm(colour, filter.wavelength_nm);
                ([-2.5 * (photons(1.0) / photons(0.0)).log10(), COLOUR_SIGMA_NARROW], filter.wavelength_nm)
            }
            (LightChannel::Red | LightChannel::Green | LightChannel::Blue, _) => {
                let channel: Channel = optics_channel(channel);
                ([colour_term_mag(channel), COLOUR_SIGMA], wavelength_of_nm(channel))
            }
        };
        let air = Extinction::clear(self.height_m);
        let reference = Extinction::clear(0.0).coefficient_mag(EmissionLine::Green5577.wavelength_nm());
        let extinction = air.coefficient_mag(wavelength_nm);
        let mut prior = Prior { values: [0.0; TERMS], sigmas: [1.0; TERMS] };
        (prior.values[ZERO], prior.sigmas[ZERO]) = (0.0, 1e3);
        (prior.values[SLOPE], prior.sigmas[SLOPE]) = (1.0, slope_sigma);
        (prior.values[COLOUR], prior.sigmas[COLOUR]) = (colour[0], colour[1]);
        (prior.values[AIR], prior.sigmas[AIR]) =
            (extinction, EXTINCTION_SIGMA * (extinction / reference).clamp(0.5, 2.0));
        for (i, term) in FALLOFF.into_iter().enumerate() {
            (prior.values[term], prior.sigmas[term]) = match falloff {
                Some(solved) => (solved.values[term], solved.sigma(term)),
                None => (FALLOFF_MAG[i], FALLOFF_SIGMA_MAG[i]),
            };
        }
        prior
    }

    /// Fits a channel; `falloff` is that of a channel fitted before, for the same lens.
    pub(crate) fn fit(
        &self,
        channel: LightChannel,
        stars: &[Measured],
        falloff: Option<&Solved>,
    ) -> Option<ChannelCalibration> {
        let mut magnitudes: Vec<f64> = stars.iter().map(|star| star.target.v_mag).collect();
        magnitudes.sort_by(f64::total_cmp);
        let quantile = REFERENCE_QUANTILE[usize::from(self.developed)];
        let last = magnitudes.len().checked_sub(1)?;
        let reference = *magnitudes.get(crate::whole::index(last as f64 * quantile))?;
        let rows: Vec<Row> = stars.iter().map(|star| row(star, reference)).collect();
        let slope_sigma = if self.developed { SLOPE_SIGMA_DEVELOPED } else { SLOPE_SIGMA_LINEAR };
        let prior = self.prior(channel, falloff, slope_sigma);
        let solved = fit(&rows, &prior)?;
        let free_prior = self.prior(channel, falloff, SLOPE_SIGMA_FREE);
        let free = fit(&rows, &free_prior)?;
        let aperture_mag = self.growth(channel, stars);
        let mut levels: Vec<f64> = stars.iter().map(|star| star.light.top - star.light.sky).collect();

        let term = |solved: &Solved, prior: &Prior, term: usize| FittedTerm {
            value: solved.values[term],
            sigma: solved.sigma(term),
            fitted: solved.sigma(term) < FITTED_SHARE * prior.sigmas[term],
        };
        let zero = term(&solved, &prior, ZERO);
        let mut corner = [0.0; TERMS];
        for term in FALLOFF {
            corner[term] = 1.0;
        }
        let known = self.prior(channel, None, slope_sigma);
        let assumed_corner = FALLOFF.iter().map(|term| known.sigmas[*term].powi(2)).sum::<f64>().sqrt();
        let corner_sigma = solved.sigma_along(&corner);
        Some(ChannelCalibration {
            channel,
            zero_point_mag: FittedTerm {
                value: aperture_mag.value - zero.value,
                sigma: zero.sigma.hypot(aperture_mag.sigma),
                fitted: true,
            },
            colour_term_mag: term(&solved, &prior, COLOUR),
            extinction_mag: term(&solved, &prior, AIR),
            slope: term(&free, &free_prior, SLOPE),
            corner_falloff_mag: FittedTerm {
                value: FALLOFF.iter().map(|term| solved.values[*term]).sum(),
                sigma: corner_sigma,
                fitted: corner_sigma < FITTED_SHARE * assumed_corner,
            },
            stars: solved.stars,
            scatter_mag: solved.scatter_mag,
            aperture_mag,
            reference_v_mag: reference,
            star_level: median(&mut levels)?,
            solved,
        })
    }
}

/// Of the stars that the fit says are bright enough to show: how many, and how many do not.
pub(crate) fn missing(measured: &[Measured], fitted: &ChannelCalibration) -> [usize; 2] {
    /// A star is bright enough when it would stand this far above its noise.
    const SURE_SNR: f64 = 15.0;
    /// It is missing below this share of its light: 1.5 mag.
    const MISSING_SHARE: f64 = 0.25;
    /// Square of the distance from the axis up to which stars are missed: farther out the lens's image may end.
    const INSIDE: f64 = 0.72;
    let mut counts = [0, 0];
    let is_asked =
        |star: &&Measured| star.target.colour_mag.is_finite() && star.air <= MOST_AIRMASS && star.falloff[0] <= INSIDE;
    for star in measured.iter().filter(is_asked) {
        let row = row(star, fitted.reference_v_mag);
        let mag = crate::least_squares::dot(&row.terms, &fitted.solved.values) + fitted.reference_v_mag;
        let expected = 10f64.powf(-0.4 * mag);
        if expected > SURE_SNR * star.light.sigma {
            counts[0] += 1;
            counts[1] += usize::from(!star.target.found && star.light.flux < MISSING_SHARE * expected);
        }
    }
    counts
}

fn row(star: &Measured, reference_mag: f64) -> Row {
    let Measured { target, light, air, falloff } = star;
    Row {
        terms: [1.0, target.v_mag - reference_mag, target.colour_mag, *air, falloff[0], falloff[1]],
        mag: -2.5 * light.flux.log10() - reference_mag,
        sigma_mag: 1.0857 * light.sigma / light.flux,
    }
}
