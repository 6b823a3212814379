//! What is in the sky of a frame: ground, cloud, moon, and light in units of the sky.

use frame::{
    AuroraContext, AuroraFinding, BlackLevel, BodyHints, BodyKind, BrightBody, BrightLights, Calibration,
    CalibrationHints, CloudCover, CloudMethod, Frame, LensSolution, LightChannel, LightMap, NominalKit, SkyMask,
    StarField, StarsSeen, calibrate, calibrate_by_settings,
};
use quantity::{Estimate, GeoPosition, Horizontal, Timestamp};

use super::aurora::{CheckedAurora, aurora};
use super::facts::Bodies;
use super::layers::FrameLayers;
use super::report::{BodyInFrame, CheckedBody, CheckedScene, CheckedSettings, CheckedSky};
use super::request::CheckRequest;
use crate::kit_optics;

/// Height at which the magnetic zenith is taken, km: that of green rays.
const RAY_HEIGHT_KM: f64 = 110.0;
/// Place in order of the sky's cells that stands for its own light: half of them.
const SKY_PLACE: f64 = 0.5;

/// What is known of a frame before its sky is measured.
pub(super) struct Known<'a> {
    pub(super) request: &'a CheckRequest,
    pub(super) frame: &'a Frame,
    pub(super) lights: &'a BrightLights,
    pub(super) field: &'a StarField,
    pub(super) map: &'a LightMap,
    pub(super) settings: &'a CheckedSettings,
    pub(super) sky: Option<&'a CheckedSky>,
    pub(super) bodies: Option<Bodies>,
    /// Whether the picture itself speaks against its clock or place: sun and moon by them then say nothing of its light.
    pub(super) clock_is_doubted: bool,
    pub(super) solution: Option<&'a LensSolution>,
    pub(super) utc: Option<Timestamp>,
    pub(super) scene: CheckedScene,
    /// Sky and ground, as far as they can be told without the lens.
    pub(super) mask: SkyMask,
    /// Whether what was found can be stars, and whether they are sure.
    pub(super) stars: StarsSeen,
}

/// What was measured of it.
pub(super) struct SkyLight {
    pub(super) sky_mag_arcsec2: Option<Estimate>,
    pub(super) cloud_fraction: Option<Estimate>,
    pub(super) cloud_method: Option<CloudMethod>,
    pub(super) foreground: Option<Estimate>,
    pub(super) body: Option<CheckedBody>,
    pub(super) aurora: CheckedAurora,
    pub(super) layers: FrameLayers,
    pub(super) calibration: Option<Calibration>,
    pub(super) finding: AuroraFinding,
    /// Cells that are sky.
    pub(super) sky: Vec<bool>,
    pub(super) notes: Vec<String>,
    pub(super) not_measured: Vec<String>,
}

impl Known<'_> {
    /// Measures the sky.
    pub(super) fn measured(&self) -> SkyLight {
        let mut not_measured = Vec::new();
        let mut notes = Vec::new();
        // a lens that knows the horizon tells ground better
        let by_lens = self
            .solution
            .filter(|solution| solution.alt_deg.is_some())
            .map(|solution| SkyMask::of(self.map, self.field, Some(solution), self.frame.orientation));
        let mask = by_lens.as_ref().unwrap_or(&self.mask);
        let body = BrightBody::find(self.lights, self.frame.ceiling, mask, &self.body_hints());
        // a drawn or a dark picture has no sky to be measured
        let has_sky =
            !matches!(self.scene, CheckedScene::NotAPhotograph | CheckedScene::Dark) || self.solution.is_some();
        let cloud = has_sky.then(|| CloudCover::of(self.field, self.map, mask, self.solution));
        let is_night = !matches!(self.scene, CheckedScene::Day | CheckedScene::NotAPhotograph | CheckedScene::Dark);
        let calibration = if is_night || self.solution.is_some() { self.calibration(&mut not_measured) } else { None };
        if let Some(calibration) = &calibration {
            notes.extend(calibration.notes.iter().cloned());
        }
        let sky = mask.sky();
        let context = self.aurora_context(&sky, body.as_ref());
        let (aurora, finding) = aurora(self.frame, self.map, &context, calibration.as_ref());
        let free: Vec<bool> = sky.iter().zip(&finding.mask).map(|(sky, aurora)| *sky && !aurora).collect();
        let sky_mag_arcsec2 = calibration.as_ref().and_then(|calibration| self.sky_mag(calibration, &free));
        if let Some(CloudCover { fraction: None, why, .. }) = &cloud {
            not_measured.push(format!("cloud: {why}"));
        }
        if mask.foreground_share.is_none() && has_sky {
            not_measured.push(format!("foreground: {}", mask.why));
        }
        let layers = FrameLayers::of(self.map, self.frame.ceiling.is_some(), mask, cloud.as_ref(), &finding);
        SkyLight {
            sky_mag_arcsec2,
            cloud_method: cloud.as_ref().and_then(|cloud| cloud.fraction.and(cloud.method)),
            cloud_fraction: cloud.and_then(|cloud| cloud.fraction),
            foreground: mask.foreground_share.filter(|_| has_sky),
            body: body.map(|body| CheckedBody {
                body: match body.kind {
                    BodyKind::Moon => BodyInFrame::Moon,
                    BodyKind::Sun => BodyInFrame::Sun,
                    BodyKind::SunOrMoon => BodyInFrame::SunOrMoon,
                },
                position_px: body.position_px,
                confidence: body.confidence,
            }),
            aurora,
            layers,
            calibration,
            finding,
            sky,
            notes,
            not_measured,
        }
    }

    fn place(&self) -> Option<GeoPosition> {
        self.request.position.or(self.frame.metadata.position)
    }

    /// Where sun and moon should stand, and whether it is night.
    fn body_hints(&self) -> BodyHints {
        let bodies = self.bodies.filter(|_| !self.clock_is_doubted);
        let predicted = self.solution.zip(bodies).map(|(solution, bodies)| {
            [(BodyKind::Moon, bodies.moon), (BodyKind::Sun, bodies.sun)]
                .into_iter()
                .filter_map(|(kind, direction)| Some((kind, solution.pixel_of_horizontal(direction)?)))
                .collect()
        });
        BodyHints {
            predicted: predicted.unwrap_or_default(),
            arcsec_per_px: self.settings.pixel_arcsec.map(|scale| scale.value),
            is_night: match self.scene {
                CheckedScene::NightSky | CheckedScene::Moonlit | CheckedScene::Dark => Some(true),
                CheckedScene::Day => Some(false),
                _ => None,
            },
        }
    }

    /// The scale of the sky's light: by the stars, else by the settings, else none with the reason.
    fn calibration(&self, not_measured: &mut Vec<String>) -> Option<Calibration> {
        let hints = CalibrationHints {
            f_number: self.settings.f_number,
            focal_mm: self.settings.focal_mm,
            site_height_m: self.place().map(GeoPosition::height_m),
            kit: self.request.kit.as_ref().map(|kit| NominalKit {
                sensor: kit_optics::sensor(kit, kit_optics::NIGHT_C),
                lens: kit_optics::lens(kit),
            }),
            ..CalibrationHints::of(&self.frame.metadata)
        };
        let by_stars = self.solution.map(|solution| calibrate(self.frame, self.field, solution, &hints));
        let why_not = match by_stars {
            Some(Ok(calibration)) => return Some(calibration),
            Some(Err(failure)) => Some(failure.to_string()),
            None => None,
        };
        match calibrate_by_settings(self.frame, self.solution, &hints) {
            Ok(calibration) => Some(calibration),
            Err(failure) => {
                let stars = why_not.unwrap_or_else(|| "no lens solution by its stars".to_owned());
                not_measured.push(format!("light of the sky and aurora in kR: {stars}; {failure}; {}", failure.hint()));
                None
            }
        }
    }

    fn aurora_context<'a>(&'a self, sky: &'a [bool], body: Option<&BrightBody>) -> AuroraContext<'a> {
        let bodies = self.bodies.filter(|_| !self.clock_is_doubted);
        AuroraContext {
            sky,
            stars: self.stars,
            sun_altitude_deg: bodies.map(|bodies| bodies.sun.altitude_deg),
            moon_altitude_deg: bodies.map(|bodies| bodies.moon.altitude_deg),
            moon_in_frame: body.map(|body| body.kind != BodyKind::Sun),
            luminance_cd_m2: self.sky.and_then(|sky| sky.luminance_cd_m2).map(|luminance| luminance.value),
            exposure_s: self.settings.exposure_s,
            lens: self.solution,
            magnetic_zenith: self.magnetic_zenith(),
            is_linear: self.frame.linearity.is_linear(),
            neutral: self.frame.neutral,
            is_rendered: self.scene == CheckedScene::NotAPhotograph,
            asks_forms: false,
            filter_nm: CalibrationHints::of(&self.frame.metadata).filter.map(|filter| filter.wavelength_nm),
        }
    }

    fn magnetic_zenith(&self) -> Option<Horizontal> {
        let place = self.place()?;
        let model = geomag::FieldModel::at(self.utc?).ok()?;
        Some(geomag::magnetic_zenith(&model.field(place.latitude_deg(), place.longitude_deg(), RAY_HEIGHT_KM)))
    }

    /// Light of the sky without its aurora, at the cell that stands for it.
    fn sky_mag(&self, calibration: &Calibration, free: &[bool]) -> Option<Estimate> {
        if calibration.black == BlackLevel::Unknown {
            return None;
        }
        let green = self.map.green()?;
        let unit = self.frame.ceiling.filter(|ceiling| *ceiling > 0.0).map_or(1.0, f64::from);
        let level = green.quantile(free, SKY_PLACE)?;
        let off = |cell: &usize| (f64::from(green.medians[*cell]) - level).abs();
        let cell = (0..green.medians.len())
            .filter(|cell| free[*cell] && green.medians[*cell].is_finite())
            .min_by(|a, b| off(a).total_cmp(&off(b)))?;
        calibration.surface_brightness(LightChannel::Green, unit * level, self.map.middle_px(cell))
    }
}
