//! Forms by stretch of time and region, as the frames looked at tell them together.

use frame::AuroraPresence;
use quantity::{Horizontal, Timestamp};
use sequence::{AtlasCode, AtlasCondition, AtlasForm, FormName, FormPlace, FormStretch, FormTracks, MagneticStand};

use super::grey_arc::{LONGEST_TOGETHER_S, MOST_TOGETHER, together};
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
    tracks: FormTracks,
    aurora: ReadAurora,
    /// Light of the brightest aurora so far.
    brightest: Option<f64>,
    /// Grey frames that are not settled, to be judged together.
    waiting: Vec<(Timestamp, FrameLook)>,
}

impl Forms {
    /// Takes in a look.
    ///
    /// * `at`: the middle of its exposure; none for a picture that says no time.
    pub(super) fn push(&mut self, at: Option<Timestamp>, look: &FrameLook, request: &ReadRequest) {
        let begin = self.waiting.first().map(|first| first.0);
        let is_late =
            at.zip(begin).is_none_or(|(at, begin)| at.duration_since(begin).as_secs_f64() > LONGEST_TOGETHER_S);
        let Some(at) = at.filter(|_| look.grey.is_some()) else {
            self.settle(request);
            return self.add(at, look);
        };
        if is_late || self.waiting.len() >= MOST_TOGETHER {
            self.settle(request);
        }
        self.waiting.push((at, FrameLook { kr: None, ..look.clone() }));
    }

    /// Judges the grey frames that wait, all together where they are enough.
    fn settle(&mut self, request: &ReadRequest) {
        let mut waiting = std::mem::take(&mut self.waiting);
        let stand = waiting
            .first()
            .zip(request.position)
            .and_then(|((at, _), place)| MagneticStand::of(place, *at, request.height_km, request.kp));
        let looks: Vec<_> = waiting.iter().filter_map(|(_, look)| look.grey.as_ref()).collect();
        if let Some(arcs) = together(&looks, request.height_km, stand) {
            waiting.iter_mut().zip(arcs).for_each(|((_, look), arc)| look.take(arc));
        }
        for (at, look) in &waiting {
            self.add(Some(*at), look);
        }
    }

    fn add(&mut self, at: Option<Timestamp>, look: &FrameLook) {
        self.aurora.looked_at += 1;
        match look.presence {
            AuroraPresence::Yes => {
                self.aurora.yes += 1;
                if self.brightest.is_none_or(|strength| look.strength > strength) {
                    self.brightest = Some(look.strength);
                    self.aurora.brightest = at;
                }
            }
            AuroraPresence::No => self.aurora.no += 1,
            AuroraPresence::CannotTell => self.aurora.cannot_tell += 1,
        }
        self.tracks.push(at, &look.forms);
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
        self.settle(request);
        let mut told: Vec<ReadForm> = self.tracks.finish().into_iter().take(MOST_STRETCHES).map(told).collect();
        let may_be = self.aurora.yes + self.aurora.cannot_tell > 0;
        for patch in pulsation.iter().flat_map(|found| &found.patches).take(MOST_PATCHES).filter(|_| may_be) {
            told.push(pulsating(patch, request, sigma_deg));
        }
        (self.aurora, told)
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
        looked_at: 0,
        name: Some(FormName::PulsatingPatches),
        code: Some(code.to_string()),
        confidence,
        reasons,
        shape: None,
        place: place.as_ref().map(stand),
        middle: Some(Horizontal::new(patch.alt_deg, patch.az_deg)),
    }
}

fn told(stretch: FormStretch) -> ReadForm {
    ReadForm {
        from: stretch.span.map(|span| span[0]),
        to: stretch.span.map(|span| span[1]),
        frames: stretch.agreeing,
        looked_at: stretch.looks,
        name: stretch.name,
        code: stretch.code,
        confidence: stretch.confidence,
        reasons: stretch.reasons,
        shape: stretch.geometry.map(|shape| FormShape {
            length_km: shape.length_km,
            width_km: shape.width_km,
            tilt_deg: shape.tilt_deg,
            poleward_km: shape.poleward_km,
            altitude_deg: shape.altitude_deg,
        }),
        place: stretch.place.as_ref().map(stand),
        middle: stretch.middle,
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
