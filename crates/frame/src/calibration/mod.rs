//! From a frame's numbers to the brightness of the sky: zero point, colour, extinction and falloff by catalogue stars.

mod aperture;
mod band;
mod black;
mod brightness;
mod cells;
mod failure;
mod fit;
mod geometry;
mod hints;
mod lines;
mod nominal;
mod result;
mod stars;
mod targets;

pub use black::BlackLevel;
pub use cells::CalibratedCells;
pub use failure::CalibrationFailure;
pub use hints::{CalibrationHints, FilterHint, NominalKit};
pub use lines::{LineExcess, SplitLines};
pub use nominal::calibrate_by_settings;
pub use result::{Calibration, CalibrationBasis, ChannelCalibration, FittedTerm};

use crate::window::Windows;
use crate::{Frame, Layout, LensSolution, LightChannel, StarField};
use aperture::Aperture;
use black::Black;
use geometry::Geometry;
use stars::Bench;

/// Fewest stars: the zero point's own error is then below half the scatter, and one bad star in six is still told.
const LEAST_STARS: usize = 6;
/// Scatter beyond which the stars' light is not that of the catalogue's stars, magnitudes (judgement: noise reduction and thin
/// cloud make 0.3).
const MOST_SCATTER_MAG: f64 = 0.7;
/// Width of stars where nobody tells it, px.
const USUAL_FWHM_PX: f64 = 2.5;
/// Share of full scale from which a sample is full.
const FULL_SHARE: f64 = 0.98;
/// Slopes that a camera may have: tone curves bend by an exponent of a half to two, and with less or more the light of a glow
/// cannot be told from that of stars.
const SLOPES: std::ops::RangeInclusive<f64> = 0.4..=2.5;
/// Share of missing stars that is worth a note.
const MANY_MISSING: f64 = 0.2;

/// Calibrates a frame by the catalogue stars in it.
///
/// Every channel's light of each star is summed in a small circle, and zero point, colour term, extinction and the lens's
/// falloff are fitted to it together, with what is known beforehand of air and lenses. Works in small windows: no channel is
/// ever made whole.
///
/// * `field`: the stars of this frame, in pixels of the frame as stored.
/// * `solution`: its lens by these stars. With time and place in it, the extinction is told from altitudes.
///
/// # Errors
///
/// [`CalibrationFailure`]: too few stars that can be measured, or stars whose light has little to do with the catalogue's.
/// [`calibrate_by_settings`] is what is left then.
pub fn calibrate(
    frame: &Frame,
    field: &StarField,
    solution: &LensSolution,
    hints: &CalibrationHints,
) -> Result<Calibration, CalibrationFailure> {
    let windows = Windows::new(frame);
    let geometry = Geometry::new(solution, frame.stored_size);
    let fwhm_px = fwhm_px(field);
    let aperture = Aperture::of(fwhm_px, windows.sample_px);
    let levels = Black::of(frame, &windows, Some(&geometry), hints.black);
    let is_grey = frame.layout == Layout::Grey;
    let filter = hints.filter.filter(|_| is_grey);
    let bench = Bench {
        windows,
        geometry,
        aperture,
        targets: targets::targets(field, solution, fwhm_px),
        full: frame.ceiling.map(|ceiling| FULL_SHARE * f64::from(ceiling)),
        developed: !frame.linearity.is_linear(),
        height_m: hints.site_height_m.unwrap_or(0.0),
        filter,
    };
    let main = if is_grey { LightChannel::Grey } else { LightChannel::Green };
    let measured = bench.measure(main);
    let usable = bench.usable(&measured);
    let too_few =
        CalibrationFailure::TooFewStars { usable: usable.len(), tried: bench.targets.len(), needed: LEAST_STARS };
    if usable.len() < LEAST_STARS {
        return Err(too_few);
    }
    let first = bench.fit(main, &usable, None).filter(|fitted| fitted.stars >= LEAST_STARS).ok_or(too_few)?;
    if first.scatter_mag > MOST_SCATTER_MAG {
        return Err(CalibrationFailure::Scattered { scatter_mag: first.scatter_mag });
    }
    if !SLOPES.contains(&first.slope.value) {
        return Err(CalibrationFailure::NotFollowing { slope: first.slope.value });
    }
    let [stars_expected, stars_missing] = stars::missing(&measured, &first);
    let mut notes = Vec::new();
    let mut channels = vec![first];
    if !is_grey {
        for channel in [LightChannel::Red, LightChannel::Blue] {
            let usable = bench.usable(&bench.measure(channel));
            let fitted = bench.fit(channel, &usable, Some(&first.solved)).filter(|fitted| {
                SLOPES.contains(&fitted.slope.value)
                    && usable.len() >= LEAST_STARS
                    && fitted.stars >= LEAST_STARS
                    && fitted.scatter_mag <= MOST_SCATTER_MAG
            });
            match fitted {
                Some(fitted) => channels.push(fitted),
                None => notes.push(format!("{channel:?}: too few stars to calibrate by").to_lowercase()),
            }
        }
        channels.sort_by_key(|channel| result::index(channel.channel));
    }
    let knows_altitudes = solution.alt_deg.is_some();
    let basis = if bench.developed { CalibrationBasis::StarsDeveloped } else { CalibrationBasis::Stars };
    let mut calibration = Calibration {
        basis,
        channels,
        black: levels.source,
        filter,
        knows_altitudes,
        stars_expected,
        stars_missing,
        notes: Vec::new(),
        levels,
        size_px: frame.stored_size,
        solution: Some(LensSolution { pairs: Vec::new(), ..solution.clone() }),
        nominal: None,
    };
    notes.extend(said(&calibration, &first));
    calibration.notes = notes;
    Ok(calibration)
}

/// Width of the stars along their long axis.
fn fwhm_px(field: &StarField) -> f64 {
    /// FWHM over the deviation of a Gaussian.
    const FWHM_PER_SIGMA: f64 = 2.3548;
    let long = |moments: &crate::Moments| FWHM_PER_SIGMA * moments.axes_px2()[0].max(0.0).sqrt();
    if let Some(typical) = &field.typical {
        return long(&typical.moments);
    }
    let measured = field.stars.iter().filter(|star| star.shape_measured);
    let mut widths: Vec<f64> = measured.map(|star| long(&star.moments)).collect();
    fit::median(&mut widths).unwrap_or(USUAL_FWHM_PX)
}

/// What was fitted and what assumed, in words.
fn said(calibration: &Calibration, main: &ChannelCalibration) -> Vec<String> {
    let mut notes = Vec::new();
    let way = |term: &FittedTerm| if term.fitted { "fitted" } else { "assumed" };
    notes.push(format!(
        "zero point from {} stars that scatter by {:.2} mag; colour term {}, extinction {}, falloff {}",
        main.stars,
        main.scatter_mag,
        way(&main.colour_term_mag),
        way(&main.extinction_mag),
        way(&main.corner_falloff_mag)
    ));
    if !calibration.knows_altitudes {
        notes.push(
            "the stars' altitudes are not known: the loss in the air is that of 45 degrees all over the frame"
                .to_owned(),
        );
    }
    match calibration.basis {
        CalibrationBasis::StarsDeveloped => notes.push(format!(
            "estimate from a developed picture: its stars grow by {:.2} magnitudes for each of the catalogue's, and a faint glow \
             goes through another part of the tone curve than the tops of stars",
            main.slope.value
        )),
        CalibrationBasis::Stars
            if !main.keeps_proportion() =>
        {
            notes.push(format!(
                "the file's numbers do not look linear: its stars grow by {:.2} magnitudes for each of the catalogue's",
                main.slope.value
            ));
        }
        CalibrationBasis::Stars | CalibrationBasis::Settings | CalibrationBasis::SettingsDeveloped => {}
    }
    if calibration.stars_missing as f64 > MANY_MISSING * calibration.stars_expected as f64 {
        notes.push(format!(
            "{} of {} stars that should show do not: cloud, or something in front",
            calibration.stars_missing, calibration.stars_expected
        ));
    }
    if calibration.black == BlackLevel::Unknown {
        notes.push(
            "the level of no light is not known: excess over the sky can be measured, the sky itself not".to_owned(),
        );
    }
    if main.channel == LightChannel::Grey {
        notes.push(match calibration.filter {
            None => "grey camera without a known filter: brightness in kR cannot be told".to_owned(),
            Some(FilterHint { wavelength_nm, width_nm: None }) => {
                format!("filter at {wavelength_nm:.1} nm of unknown width: brightness in kR cannot be told without it")
            }
            Some(FilterHint { wavelength_nm, width_nm: Some(width) }) => {
                format!("filter at {wavelength_nm:.1} nm, {width:.1} nm wide")
            }
        });
    }
    notes
}
