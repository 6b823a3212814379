//! The aurora of one frame of a sequence: whether, which form, how bright.

use frame::{
    AuroraContext, AuroraFinding, AuroraPresence, CalibrationHints, Frame, FrameError, LightChannel, LightMap,
    LineShares, find_aurora,
};
use geomag::FieldModel;
use quantity::Timestamp;
use sequence::{FormQuestion, MagneticStand, RegionForm, tell_forms};
use serde::{Deserialize, Serialize};

use super::grey_arc::{GreyArc, GreyLook};
use super::lens::SequenceLens;
use super::light::SequenceLight;
use super::request::ReadRequest;
use super::settings;

/// The aurora of one frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FrameLook {
    pub(super) presence: AuroraPresence,
    /// Light of the aurora above the sky's own, summed over its cells, in the frame's numbers.
    pub(super) strength: f64,
    /// What its regions of light show.
    pub(super) forms: Vec<RegionForm>,
    /// The light of a grey frame that is not settled, to be put together with that of others.
    pub(super) grey: Option<GreyLook>,
    /// Shares of the lines, where the aurora is sure and the picture in colour.
    #[serde(default)]
    pub(super) lines: Option<LineShares>,
    /// Light above the sky's own, kR of 557.7 nm, where the sequence is calibrated; or why this frame is not.
    pub(super) kr: Option<Result<SequenceLight, String>>,
}

impl FrameLook {
    /// Its aurora at the settings of another frame.
    pub(super) fn scale(&mut self, factor: f64) {
        self.strength *= factor;
    }

    /// Puts what a ridge of light says in the place of what was left open.
    pub(super) fn take(&mut self, arc: GreyArc) {
        self.presence = arc.presence;
        self.forms = vec![RegionForm { answer: arc.answer, middle: arc.middle, is_whole: true }];
    }

    /// Its light in kilorayleighs, where it has any.
    pub fn calibrated_light(&self) -> Option<&SequenceLight> {
        self.kr.as_ref()?.as_ref().ok()
    }

    /// The same, to put its values in place.
    pub fn calibrated_light_mut(&mut self) -> Option<&mut SequenceLight> {
        self.kr.as_mut()?.as_mut().ok()
    }

    /// Looks at a frame with what another one told of the camera.
    ///
    /// * `at`: the middle of its exposure, where it is known.
    /// * `request`: place, height of the light and Kp.
    ///
    /// # Errors
    ///
    /// None that an opened frame can cause.
    pub fn of(
        frame: &Frame,
        at: Option<Timestamp>,
        request: &ReadRequest,
        lens: &SequenceLens,
    ) -> Result<Self, FrameError> {
        Ok(Self::with_light(frame, at, request, lens)?.1)
    }

    /// The light of a frame beside its look: its cells are measured once for both.
    ///
    /// # Errors
    ///
    /// None that an opened frame can cause.
    pub fn with_light(
        frame: &Frame,
        at: Option<Timestamp>,
        request: &ReadRequest,
        lens: &SequenceLens,
    ) -> Result<(SequenceLight, Self), FrameError> {
        let map = LightMap::of(frame)?;
        let light = SequenceLight::of_measured(frame, &map)?;
        let look = Self::of_map((frame, &map, &light), at, request, lens);
        Ok((light, look))
    }

    fn of_map(
        (frame, map, light): (&Frame, &LightMap, &SequenceLight),
        at: Option<Timestamp>,
        request: &ReadRequest,
        lens: &SequenceLens,
    ) -> Self {
        let (place, height_km) = (request.position, request.height_km);
        let known = lens.known.as_ref();
        let bodies = at.zip(place).and_then(|(at, place)| sky::sun_moon(at, place).ok());
        let field = at.zip(place).and_then(|(at, place)| {
            let model = FieldModel::at(at).ok()?;
            Some(model.field(place.latitude_deg(), place.longitude_deg(), height_km))
        });
        let magnetic_zenith = field.as_ref().map(geomag::magnetic_zenith);
        let context = AuroraContext {
            sky: known.map_or(&[], |known| known.sky.as_slice()),
            stars: known.map_or_else(Default::default, |known| known.stars),
            sun_altitude_deg: bodies.as_ref().map(|bodies| bodies.sun.horizontal.altitude_deg),
            moon_altitude_deg: bodies.as_ref().map(|bodies| bodies.moon.horizontal.altitude_deg),
            moon_in_frame: known.and_then(|known| known.moon_in_frame),
            luminance_cd_m2: known.and_then(|known| known.luminance_cd_m2),
            exposure_s: frame.metadata.exposure_s,
            lens: lens.by_stars_solution(),
            magnetic_zenith,
            is_linear: frame.linearity.is_linear(),
            neutral: frame.neutral,
            is_rendered: known.is_some_and(|known| known.is_rendered),
            asks_forms: true,
            filter_nm: CalibrationHints::of(&frame.metadata).filter.map(|filter| filter.wavelength_nm),
        };
        let finding = find_aurora(map, &context);
        let kr = lens.is_calibrated().then(|| kilorayleighs(frame, map, &finding, lens));
        let poleward = |field: &geomag::FieldVector| {
            if field.down_nt < 0.0 { field.declination_deg() + 180.0 } else { field.declination_deg() }
        };
        let poleward_azimuth_deg = field.as_ref().map(poleward);
        let stand = at.zip(place).and_then(|(at, place)| MagneticStand::of(place, at, height_km, request.kp));
        let forms = tell_forms(&FormQuestion {
            finding: &finding,
            columns: map.columns,
            cell_px: map.cell_px,
            view: lens.view.as_ref(),
            direction_sigma_deg: lens.direction_sigma_deg(),
            magnetic_zenith,
            poleward_azimuth_deg,
            stand,
            height_km,
            median_kr: kr.as_ref().and_then(|kr| kr.as_ref().ok()).and_then(|kr| kr.quartiles(&finding.mask)),
        });
        let lines = finding.lines.filter(|_| finding.presence == AuroraPresence::Yes);
        let mut look = Self { presence: finding.presence, strength: strength(&finding), forms, grey: None, lines, kr };
        if let Some(poleward_azimuth_deg) = poleward_azimuth_deg.filter(|_| map.channels.len() == 1) {
            look.grey = GreyLook::of(light, &finding, &context, poleward_azimuth_deg, height_km);
        }
        if let Some(arc) = look.grey.as_ref().and_then(|grey| grey.alone(height_km, stand)) {
            look.take(arc);
        }
        look
    }
}

/// Light of the aurora above the sky's own, summed over its cells and channels.
fn strength(finding: &AuroraFinding) -> f64 {
    let lit = |cells: &[f32]| -> f64 {
        let cells = cells.iter().zip(&finding.mask);
        cells.filter(|(light, lit)| **lit && light.is_finite()).map(|(light, _)| f64::from(*light)).sum()
    };
    finding.excess.iter().map(|channel| lit(&channel.cells)).sum()
}

/// Green light above the sky's own in every cell of sky, at the settings of the calibrated frame.
fn kilorayleighs(
    frame: &Frame,
    map: &LightMap,
    finding: &AuroraFinding,
    lens: &SequenceLens,
) -> Result<SequenceLight, String> {
    let known = lens.known.as_ref();
    let found = known.and_then(|known| Some((known.calibration.as_ref()?.1, known.kr_of_cells(map)?)));
    let (then, kr_of_cells) = found.ok_or("the sequence has no scale")?;
    let now = [frame.metadata.exposure_s, frame.metadata.iso, frame.metadata.f_number];
    let factor = settings::factor(then, now);
    let factor = factor.ok_or("it or the calibrated frame does not say exposure, ISO or aperture: no kilorayleighs")?;
    let is_green = |channel| matches!(channel, LightChannel::Green | LightChannel::Grey);
    let green = finding.excess.iter().find(|excess| is_green(excess.channel)).ok_or("it has no green light")?;
    let unit = frame.ceiling.filter(|ceiling| *ceiling > 0.0).map_or(1.0, f64::from);
    let of_cell = |((excess, is_sky), kr): ((&f32, &bool), &Option<f64>)| {
        let excess = f64::from(*excess);
        let kr = kr.filter(|_| *is_sky && excess.is_finite()).map(|kr| (kr * unit * excess).max(0.0) * factor);
        #[expect(clippy::cast_possible_truncation, reason = "light for drawing")]
        kr.map_or(f32::NAN, |kr| kr as f32)
    };
    let values = green.cells.iter().zip(&finding.sky).zip(kr_of_cells.iter()).map(of_cell).collect();
    Ok(SequenceLight::of_cells(map, values))
}
