//! Which way the camera looked, through which lens, by the stars of its frame.

use frame::{Frame, LensHints, LensSolution, Plane, StarField, image_circle, solve_lens_on};
use quantity::{Estimate, GeoPosition, Timestamp};

use super::report::{CheckedLens, CheckedScene, CheckedTime};
use super::request::CheckRequest;
use crate::LensProfile;

/// Stars of the catalogue from which they alone say how wide stars are and how they are drawn out.
const ENOUGH_KNOWN: usize = 20;
/// How far a star may be from where it was when the lens was found, px: the same place, written twice.
const SAME_PLACE_PX: f64 = 0.01;

/// What the stars are asked with.
pub(super) struct Asked<'a> {
    pub(super) request: &'a CheckRequest,
    pub(super) frame: &'a Frame,
    pub(super) plane: &'a Plane,
    pub(super) field: &'a StarField,
    pub(super) taken: Option<&'a CheckedTime>,
}

impl Asked<'_> {
    fn at(&self) -> Option<(Timestamp, GeoPosition)> {
        Some((self.taken?.utc?, self.request.position.or(self.frame.metadata.position)?))
    }

    /// A dark picture within a circle, whose time and place are known, may show a sky whose stars nothing else has found.
    pub(super) fn may_be_dark_sky(&self, scene: CheckedScene) -> bool {
        matches!(scene, CheckedScene::Dark | CheckedScene::CannotTell)
            && self.at().is_some()
            && image_circle(self.plane).is_some()
    }

    /// Asks the stars, with what else is known of the frame as a hint.
    pub(super) fn lens(&self, pixel_arcsec: Option<Estimate>) -> (CheckedLens, Option<LensSolution>) {
        let profile = self.request.kit.as_ref().and_then(|kit| kit.lens.profile.as_ref());
        let mut hints = LensHints {
            lens: profile.and_then(|profile| profile.model_for(self.frame.stored_size)),
            pixel_aspect: self.frame.metadata.pixel_aspect,
            taken_at: self.at().map(|(utc, _)| utc),
            place: self.at().map(|(_, place)| place),
            ..LensHints::default()
        };
        if let Some(arcsec) = pixel_arcsec {
            hints = hints.with_arcsec_per_px(arcsec);
        }
        match solve_lens_on(self.plane, self.field, &hints) {
            Ok(solution) => (self.solved(&solution), Some(solution)),
            Err(failure) => {
                let why_not = Some(format!("{failure}; {}", failure.hint()));
                (CheckedLens { asked: true, why_not, ..CheckedLens::default() }, None)
            }
        }
    }

    fn solved(&self, solution: &LensSolution) -> CheckedLens {
        let taken_at = self.taken.and_then(|taken| taken.utc);
        CheckedLens {
            solved: true,
            asked: true,
            why_not: None,
            projection: Some(solution.model.projection.into()),
            ra_deg: Some(solution.ra_deg),
            dec_deg: Some(solution.dec_deg),
            roll_deg: Some(solution.roll_deg),
            mirrored: Some(solution.mirrored),
            field_deg: Some(solution.field_deg),
            residual_px: Some(solution.residual_px),
            matched: u32::try_from(solution.matched).ok(),
            alt_deg: solution.alt_deg,
            az_deg: solution.az_deg,
            contradicts_time: solution.contradicts_time,
            profile: Some(LensProfile::of(solution, self.frame.stored_size, &self.request.name, taken_at)),
        }
    }
}

/// The stars of a field that the catalogue knows, where they are enough to stand for all.
pub(super) fn known_stars(field: &StarField, solution: &LensSolution) -> Option<StarField> {
    let known = field.only(|star| {
        let is_it = |[x, y]: [f64; 2]| (x - star.x_px).powi(2) + (y - star.y_px).powi(2) < SAME_PLACE_PX.powi(2);
        solution.pairs.iter().any(|pair| is_it(pair.found_px))
    });
    (known.stars.len() >= ENOUGH_KNOWN && known.typical.is_some()).then_some(known)
}
