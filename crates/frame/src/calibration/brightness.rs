//! Levels to magnitudes per square arcsecond and to kilorayleighs.

use optics::line_response;
use quantity::{Basis, EmissionLine, Estimate, PHOTONS_PER_RAYLEIGH_M2_S_SR};
use sky::Extinction;
use sky::photometry::V_WAVELENGTH_NM;

use super::band::{REFERENCE_BV, extinction_ratio, reference_photons_m2_s, star_photons_m2_s_nm};
use super::fit::FALLOFF;
use super::geometry::{ARCSEC2_PER_SR, ASSUMED_AIRMASS_SIGMA, Geometry, Place, Sight};
use super::hints::CalibrationHints;
use super::result::{Calibration, CalibrationBasis, ChannelCalibration, optics_channel};
use crate::LightChannel;

/// Colour of the night sky, B - V, and how much it differs from night to night: 0.9 to 1.1 without Moon (Patat 2003, Astron.
/// Astrophys. 400, 1183), bluer with it.
const SKY_BV: [f64; 2] = [0.8, 0.35];
/// How far a glow's level may be off in a developed picture with a tone curve that follows the stars' slope, magnitudes: one
/// third of a stop each way for the toe of the curve and as much for sharpening and noise reduction (judgement).
const TONE_SIGMA_MAG: f64 = 0.35;
/// How cameras differ in the green channel's response to 557.7 nm against that to stars, magnitudes: 10 %.
const GREEN_RESPONSE_SIGMA_MAG: f64 = 0.106;
/// How well the photons of a star are known from V and B - V, magnitudes: 5 %, by other spectra of the same colours.
const STAR_PHOTONS_SIGMA_MAG: f64 = 0.05;
/// The same of a narrow filter whose width is known, magnitudes: 15 % (judgement: where the line lies in the band).
const FILTER_SIGMA_MAG: f64 = 0.16;
/// How far from a line a filter may be called one for it, nm: labels are rounded.
const FILTER_NEAR_NM: f64 = 1.5;
/// Green of a developed picture over green of the sensor for a green line, both 1 for white: colour matrices add it to make
/// up for the overlap of the sensor's colours (from memory: 1.3 to 1.7 on the diagonal).
const DEVELOPED_GREEN: f64 = 1.4;
/// Its error, magnitudes: matrices and picture styles differ by 20 %.
const DEVELOPED_GREEN_SIGMA_MAG: f64 = 0.2;
/// Deepest air through which light from above it is told: 4° above the horizon, where three magnitudes and more are lost.
const MOST_AIRMASS: f64 = 12.0;
/// Errors of the black level above which a level is light at all.
const LEAST_BLACK_SIGMAS: f64 = 2.0;
/// Share of the extinction that may come back to a glow that fills the sky: a quarter each way around three quarters.
const GLOW_RETURN: f64 = 0.25;

impl Calibration {
    /// Brightness of the sky behind a level, V magnitudes per square arcsecond as seen from the ground.
    ///
    /// Not freed from the air's extinction, as is usual for the sky's own brightness. For green and grey in V, with the
    /// night sky's usual colour taken off; for red and blue in the channel's own magnitudes, 0 as V for B - V = 0.
    ///
    /// * `level`: of a pixel, in the unit of [`crate::Frame::plane`], the black level not taken off.
    /// * `pixel`: of the frame as stored.
    ///
    /// `None` beyond the lens's image, below the horizon, for a channel without stars, where the level is not above black,
    /// and where nobody tells the black level.
    pub fn surface_brightness(&self, channel: LightChannel, level: f64, pixel: [f64; 2]) -> Option<Estimate> {
        self.mag_arcsec2(&Place::of(self.geometry().as_ref(), pixel), channel, level)
    }

    /// The same at a place that is worked out.
    pub(crate) fn mag_arcsec2(&self, place: &Place, channel: LightChannel, level: f64) -> Option<Estimate> {
        let [black, black_sigma] = self.black_level(channel)?;
        let light = level - black;
        if !(light > LEAST_BLACK_SIGMAS * black_sigma && light.is_finite()) || matches!(place, Place::Outside) {
            return None;
        }
        let black_mag = 1.0857 * black_sigma / light;
        if let Some(nominal) = &self.nominal {
            let (mag, sigma) = nominal.mag_arcsec2(place.sight(), channel, light)?;
            return Some(Estimate::symmetric(mag, sigma.hypot(black_mag), self.estimate_basis()));
        }
        let fitted = self.channel(channel)?;
        Some(self.star_mag_arcsec2(fitted, light, black_mag, place.sight()?))
    }

    fn star_mag_arcsec2(&self, fitted: &ChannelCalibration, light: f64, black_mag: f64, sight: &Sight) -> Estimate {
        let [colour, colour_spread] = match fitted.channel {
            LightChannel::Green | LightChannel::Grey => SKY_BV,
            LightChannel::Red | LightChannel::Blue => [0.0, 0.0],
        };
        let falloff = sight.falloff_terms();
        let per_arcsec2 = light / (sight.solid_angle_sr * ARCSEC2_PER_SR);
        let mag = fitted.zero_point_mag.value
            - 2.5 * per_arcsec2.log10()
            - fitted.colour() * colour
            - lost_mag(fitted, falloff);
        let weights = [1.0, 0.0, colour, 0.0, falloff[0], falloff[1]];
        let sigmas = [
            fitted.solved.sigma_along(&weights),
            fitted.aperture_mag.sigma,
            fitted.colour() * colour_spread,
            self.tone_sigma_mag(fitted, light),
            if self.knows_altitudes { 0.0 } else { fitted.air() * ASSUMED_AIRMASS_SIGMA },
            black_mag,
        ];
        Estimate::symmetric(mag, root_sum(&sigmas), self.estimate_basis())
    }

    /// Brightness of 557.7 nm behind an excess over the sky in the green channel, kR; see [`Calibration::line_kr`].
    pub fn green_kr(&self, excess: f64, excess_sigma: f64, pixel: [f64; 2]) -> Option<Estimate> {
        self.line_kr(EmissionLine::Green5577, excess, excess_sigma, pixel)
    }

    /// Brightness of one line above the air along the sightline, kR, if all of an excess over the sky is that line.
    ///
    /// By the green channel for 557.7 nm ([`Calibration::split`] for the other lines); by a grey camera only behind a filter
    /// for this line whose width is known. The range holds stars, zero point, the camera's response (10 %), the air, and the
    /// tone curve of a developed picture.
    ///
    /// * `excess`: level less that of the sky without the line, in the unit of [`crate::Frame::plane`]; below 0 counts as 0.
    /// * `excess_sigma`: its error.
    ///
    /// `None` where it cannot be told, beyond the lens's image and lower than 4° above the horizon.
    pub fn line_kr(&self, line: EmissionLine, excess: f64, excess_sigma: f64, pixel: [f64; 2]) -> Option<Estimate> {
        self.one_line_kr(&Place::of(self.geometry().as_ref(), pixel), line, [excess, excess_sigma])
    }

    /// The same at a place that is worked out.
    pub(crate) fn one_line_kr(
        &self,
        place: &Place,
        line: EmissionLine,
        [excess, excess_sigma]: [f64; 2],
    ) -> Option<Estimate> {
        if !(excess.is_finite() && excess_sigma.is_finite()) || matches!(place, Place::Outside) {
            return None;
        }
        let (level_per_kr, sigma_mag) = if let Some(nominal) = &self.nominal {
            nominal.level_per_kr(place.sight(), line)?
        } else {
            let fitted = self.channel(LightChannel::Green)?;
            let (level, sigma_mag) = self.level_per_kr(fitted, line, place.sight()?)?;
            (level, sigma_mag.hypot(self.tone_sigma_mag(fitted, excess)))
        };
        Some(brightness(excess / level_per_kr, excess_sigma / level_per_kr, sigma_mag, self.estimate_basis()))
    }

    /// Level that 1 kR of a line makes in a channel at a place, and its error in magnitudes, all but the tone curve.
    pub(crate) fn level_per_kr(
        &self,
        fitted: &ChannelCalibration,
        line: EmissionLine,
        sight: &Sight,
    ) -> Option<(f64, f64)> {
        if sight.airmass > MOST_AIRMASS {
            return None;
        }
        let (star_photons, response, response_sigma) = self.response(fitted, line)?;
        let falloff = sight.falloff_terms();
        let ratio = match fitted.channel {
            LightChannel::Grey => 1.0,
            channel => extinction_ratio(optics_channel(channel), line.wavelength_nm()),
        };
        let gathered = unit_per_photon_m2(fitted, star_photons);
        let air_mag = fitted.air() * ratio * sight.airmass;
        let level = 1000.0
            * PHOTONS_PER_RAYLEIGH_M2_S_SR
            * sight.solid_angle_sr
            * gathered
            * response
            * 10f64.powf(-0.4 * (lost_mag(fitted, falloff) + air_mag));
        let weights = [1.0, 0.0, REFERENCE_BV, ratio * sight.airmass, falloff[0], falloff[1]];
        let sigmas = [
            fitted.solved.sigma_along(&weights),
            fitted.aperture_mag.sigma,
            response_sigma,
            GLOW_RETURN * air_mag,
            if self.knows_altitudes { 0.0 } else { fitted.air() * ASSUMED_AIRMASS_SIGMA },
        ];
        (level > 0.0 && level.is_finite()).then(|| (level, root_sum(&sigmas)))
    }

    /// Photons of a star of V = 0 and the reference colour in the band, the response to a line over the band's peak, and the
    /// error of the two in magnitudes.
    fn response(&self, fitted: &ChannelCalibration, line: EmissionLine) -> Option<(f64, f64, f64)> {
        match fitted.channel {
            LightChannel::Grey => {
                let filter = self.filter?;
                let width_nm = filter.width_nm.filter(|width| *width > 0.0)?;
                if (filter.wavelength_nm - line.wavelength_nm()).abs() > FILTER_NEAR_NM.max(0.5 * width_nm) {
                    return None;
                }
                Some((star_photons_m2_s_nm(REFERENCE_BV, filter.wavelength_nm) * width_nm, 1.0, FILTER_SIGMA_MAG))
            }
            LightChannel::Green if line == EmissionLine::Green5577 => {
                let channel = optics_channel(fitted.channel);
                let developed = self.basis == CalibrationBasis::StarsDeveloped;
                let (gain, sigma) = if developed { (DEVELOPED_GREEN, DEVELOPED_GREEN_SIGMA_MAG) } else { (1.0, 0.0) };
                let response = gain * line_response(channel, line);
                Some((reference_photons_m2_s(channel), response, GREEN_RESPONSE_SIGMA_MAG.hypot(sigma)))
            }
            LightChannel::Red | LightChannel::Green | LightChannel::Blue => {
                let channel = optics_channel(fitted.channel);
                Some((reference_photons_m2_s(channel), line_response(channel, line), 0.0))
            }
        }
    }

    /// What a curve between light and numbers may do to a glow of this level, magnitudes; 0 for linear numbers.
    pub(crate) fn tone_sigma_mag(&self, fitted: &ChannelCalibration, light: f64) -> f64 {
        let own = match self.basis {
            CalibrationBasis::StarsDeveloped => TONE_SIGMA_MAG,
            // a file that says it is linear, and whose stars say it is not
            CalibrationBasis::Stars if !fitted.keeps_proportion() => 0.0,
            CalibrationBasis::Stars | CalibrationBasis::Settings | CalibrationBasis::SettingsDeveloped => return 0.0,
        };
        let apart = 2.5 * (fitted.star_level / light.abs().max(f64::MIN_POSITIVE)).log10().abs().min(4.0);
        own.hypot((fitted.slope.value - 1.0) * apart)
    }

    pub(crate) fn estimate_basis(&self) -> Basis {
        match self.basis {
            CalibrationBasis::Stars => Basis::Measured,
            CalibrationBasis::StarsDeveloped => Basis::Model,
            CalibrationBasis::Settings | CalibrationBasis::SettingsDeveloped => Basis::Assumed,
        }
    }

    pub(crate) fn geometry(&self) -> Option<Geometry<'_>> {
        self.solution.as_ref().map(|solution| Geometry::new(solution, self.size_px))
    }

    /// Share of the photons of the green channel's peak that become electrons, lens and sensor together, as the stars tell it.
    ///
    /// With the gain of one's own flats and biases ([`crate::photon_transfer`]) this is the efficiency that a kit asks for, times
    /// the lens's transmission. More than 1 means that a number given is wrong.
    ///
    /// * `electrons_per_unit`: electrons of one unit of [`crate::Frame::plane`].
    ///
    /// `None` for a developed picture, a grey camera, and without exposure time, f-number and focal length.
    pub fn throughput(&self, electrons_per_unit: f64, hints: &CalibrationHints) -> Option<Estimate> {
        let fitted = self.channel(LightChannel::Green).filter(|fitted| fitted.channel == LightChannel::Green)?;
        let (seconds, f_number, focal_mm) = (hints.exposure_s?, hints.f_number?, hints.focal_mm?);
        let known = [electrons_per_unit, seconds, f_number, focal_mm].iter().all(|number| *number > 0.0);
        if !known || self.basis != CalibrationBasis::Stars {
            return None;
        }
        let radius_m = 0.5e-3 * focal_mm / f_number;
        let area_m2 = std::f64::consts::PI * radius_m * radius_m;
        let gathered = unit_per_photon_m2(fitted, reference_photons_m2_s(optics_channel(fitted.channel)));
        let sigma_mag = root_sum(&[
            fitted.solved.sigma_along(&[1.0, 0.0, REFERENCE_BV, 0.0, 0.0, 0.0]),
            fitted.aperture_mag.sigma,
            STAR_PHOTONS_SIGMA_MAG,
        ]);
        Some(brightness(gathered * electrons_per_unit / (area_m2 * seconds), 0.0, sigma_mag, self.estimate_basis()))
    }

    /// The air over the site as the stars tell it; clear air by settings.
    pub fn extinction(&self) -> Extinction {
        match self.channel(LightChannel::Green) {
            Some(fitted) => {
                let at_nm = match fitted.channel {
                    LightChannel::Grey => V_WAVELENGTH_NM,
                    channel => super::band::wavelength_of_nm(optics_channel(channel)),
                };
                let clear = Extinction::clear(0.0);
                let v_mag = fitted.air() * clear.v_mag() / clear.coefficient_mag(at_nm);
                Extinction::from_v_coefficient(v_mag, 0.0)
            }
            None => Extinction::clear(0.0),
        }
    }
}

/// Light gathered, plane units for each photon per m² of the channel's peak: from what a star of the reference colour gives.
fn unit_per_photon_m2(fitted: &ChannelCalibration, star_photons: f64) -> f64 {
    10f64.powf(0.4 * (fitted.zero_point_mag.value - fitted.colour() * REFERENCE_BV)) / star_photons
}

/// Magnitudes lost toward the corner.
pub(crate) fn lost_mag(fitted: &ChannelCalibration, falloff: [f64; 2]) -> f64 {
    FALLOFF.into_iter().zip(falloff).map(|(term, share)| fitted.solved.values[term] * share).sum()
}

pub(crate) fn root_sum(sigmas: &[f64]) -> f64 {
    sigmas.iter().map(|sigma| sigma * sigma).sum::<f64>().sqrt()
}

/// A brightness with an error of its own and one of the scale; never below 0.
pub(crate) fn brightness(value: f64, sigma: f64, sigma_mag: f64, basis: Basis) -> Estimate {
    let factor = 10f64.powf(0.4 * sigma_mag);
    let scaled = value.max(0.0);
    let low = value - sigma.hypot(scaled * (1.0 - factor.recip()));
    let high = value + sigma.hypot(scaled * (factor - 1.0));
    Estimate { value: scaled, low: low.max(0.0), high: high.max(0.0), basis }
}
