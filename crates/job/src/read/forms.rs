//! Forms by stretch of time, as the frames looked at tell them.

use frame::AuroraPresence;
use quantity::{Horizontal, Timestamp};
use sequence::{AtlasCode, AtlasCondition, AtlasForm, FormAnswer, FormName, FormPlace, MagneticStand};

use super::look::FrameLook;
use super::report::{FormShape, FormStand, ReadAurora, ReadForm, ReadPatch, ReadPulsation};
use super::request::ReadRequest;

/// Stretches told one by one.
const MOST_STRETCHES: usize = 200;
/// Chance that neighbouring cells of one period are pulsating aurora, where there is aurora (judgement: lamps and the camera are
/// ruled out by the way they are found, cloud is not).
const PATCHES_CONFIDENCE: f64 = 0.7;
/// The same between midnight and dawn, and at other hours: before midnight almost only amorphous pulsating light is seen (Grono &
/// Donovan, *Ann. Geophys.* 38, 1, 2020).
const MORNING_CONFIDENCE: f64 = 0.8;
const EVENING_CONFIDENCE: f64 = 0.5;
/// Magnetic local times from midnight to dawn, hours.
const MORNING_H: [f64; 2] = [0.0, 8.0];
/// Height of patches that pulsate, km: 90 to 105 (from memory).
const PATCH_HEIGHT_KM: f64 = 100.0;
/// Patches told by themselves.
const MOST_PATCHES: usize = 10;

/// Looks at frames, put together while they come.
#[derive(Debug, Default)]
pub(super) struct Forms {
    stretches: Vec<ReadForm>,
    aurora: ReadAurora,
}

impl Forms {
    pub(super) fn push(&mut self, at: Option<Timestamp>, look: &FrameLook) {
        self.aurora.looked_at += 1;
        match look.presence {
            AuroraPresence::Yes => self.aurora.yes += 1,
            AuroraPresence::No => self.aurora.no += 1,
            AuroraPresence::CannotTell => self.aurora.cannot_tell += 1,
        }
        let Some(form) = told(at, &look.answer) else { return };
        let is_room = self.stretches.len() < MOST_STRETCHES;
        match self.stretches.last_mut().filter(|last| last.name == form.name && last.code == form.code) {
            Some(last) => {
                last.to = at;
                last.frames += 1;
                // the surest frame stands for the stretch
                if form.confidence > last.confidence {
                    (last.confidence, last.reasons) = (form.confidence, form.reasons);
                    (last.shape, last.place) = (form.shape, form.place);
                }
            }
            None if is_room => self.stretches.push(form),
            None => {}
        }
    }

    /// What was told, and patches that pulsate where there is or may be aurora.
    ///
    /// * `sigma_deg`: one standard deviation of directions.
    pub(super) fn finish(
        mut self,
        pulsation: Option<&ReadPulsation>,
        request: &ReadRequest,
        sigma_deg: f64,
    ) -> (ReadAurora, Vec<ReadForm>) {
        let may_be = self.aurora.yes + self.aurora.cannot_tell > 0;
        for patch in pulsation.iter().flat_map(|found| &found.patches).take(MOST_PATCHES).filter(|_| may_be) {
            self.stretches.push(pulsating(patch, request, sigma_deg));
        }
        (self.aurora, self.stretches)
    }
}

/// A patch that pulsates, as a form with its place and what its hour says.
fn pulsating(patch: &ReadPatch, request: &ReadRequest, sigma_deg: f64) -> ReadForm {
    let code = AtlasCode {
        condition: Some(AtlasCondition::Pulsating),
        qualifier: None,
        structure: None,
        form: AtlasForm::Patch,
        brightness: None,
        colour: None,
    };
    let mut reasons = vec![format!(
        "{} cells of sky around azimuth {:.0}, {:.0} degrees up, go up and down by {:.0} % with a period of {:.1} s",
        patch.cells,
        patch.az_deg,
        patch.alt_deg,
        100.0 * patch.relative_amplitude,
        patch.period_s
    )];
    let height_km = PATCH_HEIGHT_KM.min(request.height_km);
    let place = request.position.and_then(|place| {
        let stand = MagneticStand::of(place, patch.from, height_km, request.kp)?;
        stand.place_toward(place, patch.from, Horizontal::new(patch.alt_deg, patch.az_deg), height_km, sigma_deg)
    });
    let confidence = match place.map(|place| place.magnetic_local_time_h) {
        Some(hour) if (MORNING_H[0]..=MORNING_H[1]).contains(&hour) => {
            reasons.push("midnight to dawn, when patches pulsate".to_owned());
            MORNING_CONFIDENCE
        }
        Some(_) => {
            reasons.push("not between midnight and dawn, when nearly all patches that pulsate are seen".to_owned());
            EVENING_CONFIDENCE
        }
        None => PATCHES_CONFIDENCE,
    };
    reasons.extend(place.as_ref().map(FormPlace::words));
    ReadForm {
        from: Some(patch.from),
        to: Some(patch.to),
        frames: 0,
        name: Some(FormName::PulsatingPatches),
        code: Some(code.to_string()),
        confidence,
        reasons,
        shape: None,
        place: place.as_ref().map(stand),
    }
}

/// None where there is no aurora.
fn told(at: Option<Timestamp>, answer: &FormAnswer) -> Option<ReadForm> {
    let empty = ReadForm {
        from: at,
        to: at,
        frames: 1,
        name: None,
        code: None,
        confidence: 0.0,
        reasons: Vec::new(),
        shape: None,
        place: None,
    };
    match answer {
        FormAnswer::NoAurora(_) => None,
        FormAnswer::CannotTell(reasons) => Some(ReadForm { reasons: reasons.clone(), ..empty }),
        FormAnswer::Told(form) => Some(ReadForm {
            name: Some(form.name),
            code: form.code.as_ref().map(ToString::to_string),
            confidence: form.confidence,
            reasons: form.reasons.clone(),
            shape: form.geometry.map(|shape| FormShape {
                length_km: shape.length_km,
                width_km: shape.width_km,
                tilt_deg: shape.tilt_deg,
                poleward_km: shape.poleward_km,
                altitude_deg: shape.altitude_deg,
            }),
            place: form.place.as_ref().map(stand),
            ..empty
        }),
    }
}

fn stand(place: &FormPlace) -> FormStand {
    FormStand {
        magnetic_latitude_deg: place.magnetic_latitude_deg,
        sigma_deg: place.sigma_deg,
        magnetic_local_time_h: place.magnetic_local_time_h,
        kp: place.kp,
        equatorward_of_oval_deg: place.equatorward_of_oval_deg,
    }
}
