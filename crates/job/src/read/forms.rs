//! Forms by stretch of time, as the frames looked at tell them.

use frame::AuroraPresence;
use quantity::Timestamp;
use sequence::{AtlasCode, AtlasCondition, AtlasForm, FormAnswer, FormName};

use super::look::FrameLook;
use super::report::{FormShape, ReadAurora, ReadForm, ReadPulsation};

/// Stretches told one by one.
const MOST_STRETCHES: usize = 200;
/// Chance that neighbouring cells of one period are pulsating aurora, where there is aurora (judgement: lamps and the camera are
/// ruled out by the way they are found, cloud is not).
const PATCHES_CONFIDENCE: f64 = 0.7;
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
                    (last.confidence, last.reasons, last.shape) = (form.confidence, form.reasons, form.shape);
                }
            }
            None if is_room => self.stretches.push(form),
            None => {}
        }
    }

    /// What was told, and patches that pulsate where there is or may be aurora.
    pub(super) fn finish(mut self, pulsation: Option<&ReadPulsation>) -> (ReadAurora, Vec<ReadForm>) {
        let may_be = self.aurora.yes + self.aurora.cannot_tell > 0;
        for patch in pulsation.iter().flat_map(|found| &found.patches).take(MOST_PATCHES).filter(|_| may_be) {
            let code = AtlasCode {
                condition: Some(AtlasCondition::Pulsating),
                qualifier: None,
                structure: None,
                form: AtlasForm::Patch,
                brightness: None,
                colour: None,
            };
            self.stretches.push(ReadForm {
                from: Some(patch.from),
                to: Some(patch.to),
                frames: 0,
                name: Some(FormName::PulsatingPatches),
                code: Some(code.to_string()),
                confidence: PATCHES_CONFIDENCE,
                reasons: vec![format!(
                    "{} cells of sky around azimuth {:.0}, {:.0} degrees up, go up and down by {:.0} % with a period of {:.1} s",
                    patch.cells,
                    patch.az_deg,
                    patch.alt_deg,
                    100.0 * patch.relative_amplitude,
                    patch.period_s
                )],
                shape: None,
            });
        }
        (self.aurora, self.stretches)
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
            ..empty
        }),
    }
}
