//! Which way the camera looked, through which lens, by the stars of its frame.

use frame::{Frame, LensHints, LensSolution, StarField, solve_lens};
use quantity::Estimate;

use super::report::{CheckedLens, CheckedTime};
use super::request::CheckRequest;

/// Asks the stars, with what else is known of the frame as a hint.
pub(super) fn lens(
    request: &CheckRequest,
    frame: &Frame,
    field: &StarField,
    taken: Option<&CheckedTime>,
    pixel_arcsec: Option<Estimate>,
) -> CheckedLens {
    let mut hints = LensHints {
        taken_at: taken.and_then(|taken| taken.utc),
        place: request.position.or(frame.metadata.position),
        ..LensHints::default()
    };
    if let Some(arcsec) = pixel_arcsec {
        hints = hints.with_arcsec_per_px(arcsec);
    }
    match solve_lens(field, &hints) {
        Ok(solution) => solved(&solution),
        Err(failure) => {
            CheckedLens { why_not: Some(format!("{failure}; {}", failure.hint())), ..CheckedLens::default() }
        }
    }
}

fn solved(solution: &LensSolution) -> CheckedLens {
    CheckedLens {
        solved: true,
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
    }
}
