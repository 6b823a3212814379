//! Calibration without stars: by exposure data and a nominal sensor.

use optics::{Exposure, Shot};
use quantity::{EmissionLine, LineBrightness};
use sky::Extinction;
use sky::photometry::{mag_from_luminance_cd_m2, rayleighs_per_angstrom_from_mag};

use super::black::Black;
use super::geometry::{ASSUMED_AIRMASS, ASSUMED_AIRMASS_SIGMA, Geometry, Sight};
use super::hints::CalibrationHints;
use super::result::{Calibration, CalibrationBasis};
use crate::window::Windows;
use crate::{CalibrationFailure, Frame, Layout, LensSolution, LightChannel, Linearity, SampleUnit};

/// Mid-grey over full scale in numbers that count light: 10 over 78 lx s (ISO 12232, exposure index and saturation).
const MID_GREY_LINEAR: f64 = 10.0 / 78.0;
/// Mid-grey over white in a developed picture: 118 of 255 under the sRGB curve (ISO 12232, standard output sensitivity).
const MID_GREY_DEVELOPED: f64 = 0.18;
/// Answer of a green pixel to 557.7 nm over that to daylight of equal luminance: 0.802 / 0.9987 over 101.5 / 106.9 nm, the
/// response and the eye's curve at the line over their equivalent widths.
const LINE_OVER_DAYLIGHT: f64 = 0.84;
/// Errors of the scale, dex. A kit: efficiency 20 %, full well 30 %, lens 10 %. Settings and raw numbers: makers keep up to
/// a stop of headroom, a factor of 2. Developed: the tone curve as well, 2.5 (judgement).
const KIT_SIGMA_DEX: f64 = 0.18;
const RAW_SIGMA_DEX: f64 = 0.30;
const DEVELOPED_SIGMA_DEX: f64 = 0.40;
/// Lens's falloff toward the corner beside the pixel's solid angle, magnitudes, with its error: as where stars are fitted.
const CORNER_MAG: [f64; 2] = [0.9, 0.6];
/// Off the axis by an unknown lens: the corner of a wide one is two stops down, the middle of the frame half a magnitude.
const UNKNOWN_LENS_SIGMA_MAG: f64 = 0.5;
/// Dark sky at which a kit's electrons are counted, mag arcsec⁻².
const DARK_MAG: f64 = 22.0;

/// What one plane unit on the axis is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Nominal {
    /// V mag arcsec⁻² of a sky that gives one plane unit.
    unit_mag_arcsec2: f64,
    /// Plane units of 1 kR of 557.7 nm that arrives at the ground.
    level_per_kr: f64,
    sigma_mag: f64,
    air: Extinction,
}

impl Nominal {
    /// Light that a place has of what the axis has, with its error in magnitudes, and the airmass there.
    fn place(sight: Option<&Sight>) -> (f64, f64, f64) {
        let Some(sight) = sight else { return (1.0, UNKNOWN_LENS_SIGMA_MAG, ASSUMED_AIRMASS) };
        let corner = sight.falloff_terms()[0];
        let share = sight.solid_angle_share * 10f64.powf(-0.4 * CORNER_MAG[0] * corner);
        (share, CORNER_MAG[1] * corner, sight.airmass)
    }

    pub(crate) fn mag_arcsec2(&self, sight: Option<&Sight>, channel: LightChannel, light: f64) -> Option<(f64, f64)> {
        if channel != LightChannel::Green {
            return None;
        }
        let (share, place_sigma, _) = Self::place(sight);
        Some((self.unit_mag_arcsec2 - 2.5 * (light / share).log10(), self.sigma_mag.hypot(place_sigma)))
    }

    pub(crate) fn level_per_kr(&self, sight: Option<&Sight>, line: EmissionLine) -> Option<(f64, f64)> {
        if line != EmissionLine::Green5577 {
            return None;
        }
        let (share, place_sigma, airmass) = Self::place(sight);
        let k = self.air.coefficient_mag(line.wavelength_nm());
        let air_sigma = k * ASSUMED_AIRMASS_SIGMA;
        let level = self.level_per_kr * share * 10f64.powf(-0.4 * k * airmass);
        Some((level, self.sigma_mag.hypot(place_sigma).hypot(air_sigma)))
    }
}

/// Calibrates a frame without stars: by its settings and the standard that ISO follows, or by a kit's own sensor and lens.
///
/// Good to a factor of 2 for raw numbers, 2.5 for a developed picture, 1.5 by a kit; always an estimate. Only green is told:
/// the others depend on the white balance.
///
/// * `solution`: the lens, if another frame told it; without it the place in the frame is not taken into account.
///
/// # Errors
///
/// Settings missing, a file in units of its own, a grey camera (whose filter is not known): [`CalibrationFailure`].
pub fn calibrate_by_settings(
    frame: &Frame,
    solution: Option<&LensSolution>,
    hints: &CalibrationHints,
) -> Result<Calibration, CalibrationFailure> {
    if frame.layout == Layout::Grey {
        return Err(CalibrationFailure::UnknownBand);
    }
    let air = Extinction::clear(hints.site_height_m.unwrap_or(0.0));
    let developed = !frame.linearity.is_linear();
    let nominal = match by_kit(frame, hints, air).filter(|_| !developed) {
        Some(nominal) => nominal,
        None => by_iso(frame, hints, air, developed)?,
    };
    let windows = Windows::new(frame);
    let geometry = solution.map(|solution| Geometry::new(solution, frame.stored_size));
    let levels = Black::of(frame, &windows, geometry.as_ref(), hints.black);
    let way = match hints.kit {
        Some(_) if !developed => "the kit's sensor and lens",
        _ => "exposure time, ISO and f-number by the standard for ISO",
    };
    let basis = if developed { CalibrationBasis::SettingsDeveloped } else { CalibrationBasis::Settings };
    Ok(Calibration {
        basis,
        channels: Vec::new(),
        black: levels.source,
        filter: None,
        knows_altitudes: solution.is_some_and(|solution| solution.alt_deg.is_some()),
        stars_expected: 0,
        stars_missing: 0,
        notes: vec![format!(
            "estimate without stars, from {way}: good to a factor of {:.1}",
            10f64.powf(0.4 * nominal.sigma_mag)
        )],
        levels,
        size_px: frame.stored_size,
        solution: solution.map(|solution| LensSolution { pairs: Vec::new(), ..solution.clone() }),
        nominal: Some(nominal),
    })
}

fn exposure(hints: &CalibrationHints) -> Option<Exposure> {
    let exposure = Exposure { seconds: hints.exposure_s?, iso: hints.iso?, f_number: hints.f_number? };
    exposure.check().is_ok().then_some(exposure)
}

fn by_iso(
    frame: &Frame,
    hints: &CalibrationHints,
    air: Extinction,
    developed: bool,
) -> Result<Nominal, CalibrationFailure> {
    if frame.unit == SampleUnit::FileUnits {
        return Err(CalibrationFailure::OwnUnits);
    }
    let exposure = exposure(hints).ok_or(CalibrationFailure::NoSettings)?;
    let (mid_grey, sigma_dex) =
        if developed { (MID_GREY_DEVELOPED, DEVELOPED_SIGMA_DEX) } else { (MID_GREY_LINEAR, RAW_SIGMA_DEX) };
    Ok(Nominal {
        unit_mag_arcsec2: mag_from_luminance_cd_m2(optics::mid_grey_luminance_cd_m2(exposure) / mid_grey),
        level_per_kr: mid_grey * LINE_OVER_DAYLIGHT / optics::mid_grey_kr(exposure),
        sigma_mag: 2.5 * sigma_dex,
        air,
    })
}

/// By a kit's electrons, where the file's unit in electrons follows.
fn by_kit(frame: &Frame, hints: &CalibrationHints, air: Extinction) -> Option<Nominal> {
    let kit = hints.kit.as_ref()?;
    let shot = Shot { sensor: &kit.sensor, lens: &kit.lens, exposure: exposure(hints)? };
    shot.check().ok()?;
    let electrons_per_unit = match (&frame.linearity, frame.unit) {
        (Linearity::LinearElectrons { electrons_per_unit }, _) => *electrons_per_unit,
        (_, SampleUnit::FullScale) => shot.saturation_e(),
        (_, SampleUnit::FileUnits) => return None,
    };
    let green = optics::Channel::Green.index();
    let line_e = shot.line_electrons(&LineBrightness { green_5577_kr: 1.0, ..LineBrightness::default() })[green];
    let dark_e = shot.continuum_electrons([rayleighs_per_angstrom_from_mag(DARK_MAG); 3])[green];
    let usable = line_e > 0.0 && dark_e > 0.0 && electrons_per_unit > 0.0;
    // a sensor without green response cannot be told; the check above lets an efficiency of 0 through
    usable.then(|| Nominal {
        unit_mag_arcsec2: DARK_MAG + 2.5 * (dark_e / electrons_per_unit).log10(),
        level_per_kr: line_e / electrons_per_unit,
        sigma_mag: 2.5 * KIT_SIGMA_DEX,
        air,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_line_over_daylight_is_that_of_the_response() {
        // photopic curve: 0.9987 at 557.7 nm, 106.9 nm wide (CIE 1924)
        let response = optics::line_response(optics::Channel::Green, EmissionLine::Green5577);
        let green = response / optics::equivalent_width_nm(optics::Channel::Green);
        assert!((green / (0.9987 / 106.9) - LINE_OVER_DAYLIGHT).abs() < 0.01);
    }
}
