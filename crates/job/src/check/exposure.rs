//! How bright the sky is in the picture, against the scale that `expose` works with.

use frame::{ChannelLight, Frame, LightMap, Linearity, SampleUnit};
use optics::Exposure;
use quantity::{Basis, Estimate};

use super::report::{ChannelClipping, CheckedSettings, CheckedSky, SkyElectrons};
use crate::{Kit, kit_optics};

/// Mid-grey over full scale in numbers that count light: 10 over 78 lx s (ISO 12232, exposure index and saturation).
const MID_GREY_LINEAR: f64 = 10.0 / 78.0;
/// Mid-grey over white in a developed picture: 118 of 255 under the sRGB curve (ISO 12232, standard output sensitivity).
const MID_GREY_DEVELOPED: f64 = 0.18;
/// How far makers' ISO is from the standard's, stops: raw files keep up to a stop more room (from memory).
const RAW_SIGMA_STOPS: f64 = 0.5;
/// The same with a tone curve that nobody tells, stops (judgement: curves of cameras differ by that in the shadows).
const DEVELOPED_SIGMA_STOPS: f64 = 0.8;
/// A developed picture clips before the sensor does, by up to about a stop (common practice, no source).
const DEVELOPED_HIDDEN_STOPS: f64 = 1.0;
/// Levels below this share of full scale are steps of a dark sky in 8 bits, not a measure.
const LEAST_LEVEL: f64 = 1e-5;
/// Part of the sky that counts as its brightest.
const BRIGHTEST: f64 = 0.999;

/// How well a kit's full well and read noise are known, relative: data sheets and starting values differ from one body by
/// that (judgement; `kit measure` finds both).
const KIT_ELECTRONS_SIGMA: f64 = 0.3;

/// Whether the file's numbers are light, with a black level that is known.
fn is_light(frame: &Frame) -> bool {
    frame.linearity.is_linear()
}

/// The level of the sky; `None` where full scale or black is not known.
pub(super) fn sky(
    frame: &Frame,
    cells: &LightMap,
    sky: &[bool],
    settings: &CheckedSettings,
    kit: Option<&Kit>,
) -> Option<CheckedSky> {
    // a camera that counts in its own units has an offset of its own in every number
    if frame.unit == SampleUnit::FileUnits {
        return None;
    }
    let level = cells.green()?.quantile(sky, 0.5)?.max(LEAST_LEVEL);
    let (mid_grey, sigma) =
        if is_light(frame) { (MID_GREY_LINEAR, RAW_SIGMA_STOPS) } else { (MID_GREY_DEVELOPED, DEVELOPED_SIGMA_STOPS) };
    let mid_grey_stops = Estimate::symmetric((level / mid_grey).log2(), sigma, Basis::Model);
    let area = sky.iter().filter(|is_sky| **is_sky).count();
    Some(CheckedSky {
        level,
        mid_grey_stops,
        electrons: kit.zip(settings.iso).filter(|_| is_light(frame)).map(|(kit, iso)| electrons(level, kit, iso)),
        luminance_cd_m2: exposure(settings).map(|exposure| luminance(exposure, &mid_grey_stops)),
        area_share: area as f64 / sky.len().max(1) as f64,
    })
}

/// A share of full scale in electrons, by the full well at that ISO.
fn electrons(level: f64, kit: &Kit, iso: f64) -> SkyElectrons {
    let sensor = kit_optics::sensor(kit, kit_optics::NIGHT_C);
    let electrons = level * sensor.saturation_e(iso);
    let ratio = electrons.sqrt() / sensor.read_noise_e(iso);
    SkyElectrons {
        in_green: Estimate::symmetric(electrons, KIT_ELECTRONS_SIGMA * electrons, Basis::Model),
        noise_over_read: Estimate::symmetric(ratio, KIT_ELECTRONS_SIGMA * ratio, Basis::Model),
    }
}

/// The settings as optics take them, where all three are known.
fn exposure(settings: &CheckedSettings) -> Option<Exposure> {
    Some(Exposure { seconds: settings.exposure_s?, iso: settings.iso?, f_number: settings.f_number? })
}

fn luminance(exposure: Exposure, stops: &Estimate) -> Estimate {
    let grey = optics::mid_grey_luminance_cd_m2(exposure);
    let at = |stops: f64| grey * 2f64.powf(stops);
    Estimate { value: at(stops.value), low: at(stops.low), high: at(stops.high), basis: Basis::Model }
}

/// Clipping of every channel.
pub(super) fn clipping(frame: &Frame, cells: &LightMap, sky: &[bool]) -> Vec<ChannelClipping> {
    let hidden = match frame.linearity {
        Linearity::DecodedTransfer { .. } => DEVELOPED_HIDDEN_STOPS,
        Linearity::LinearElectrons { .. } | Linearity::LinearRelative => 0.0,
    };
    cells.channels.iter().map(|channel| of_channel(channel, sky, hidden)).collect()
}

fn of_channel(channel: &ChannelLight, sky: &[bool], hidden_stops: f64) -> ChannelClipping {
    let pixels = channel.pixels.max(1) as f64;
    let brightest = channel.quantile(sky, BRIGHTEST).unwrap_or(1.0).clamp(LEAST_LEVEL, 1.0);
    let spare = brightest.recip().log2();
    let basis = if hidden_stops > 0.0 { Basis::Model } else { Basis::Measured };
    ChannelClipping {
        channel: channel.channel.into(),
        share: channel.full as f64 / pixels,
        sky_share: channel.full_in_sky as f64 / pixels,
        lights_share: (channel.full - channel.full_in_sky) as f64 / pixels,
        spare_stops: Estimate { value: spare, low: spare, high: spare + hidden_stops, basis },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Only rounding lies between the two ways.
    const ROUNDING: f64 = 1e-9;

    #[test]
    fn the_skys_electrons_are_a_share_of_the_full_well_at_that_iso() {
        // 60,000 electrons at ISO 100 are 3,750 at ISO 1600; a hundredth of them 37.5, whose root is 6.124
        let kit = Kit::plain();
        assert!((kit.camera.full_well_e - 60_000.0).abs() < ROUNDING && (kit.camera.base_iso - 100.0).abs() < ROUNDING);
        let found = electrons(0.01, &kit, 1_600.0);
        assert!((found.in_green.value - 37.5).abs() < ROUNDING, "{found:?}");
        let noise = 37.5f64.sqrt() / kit.camera.read_noise_e;
        assert!((found.noise_over_read.value - noise).abs() < ROUNDING, "{found:?}");
    }
}
