use frame::{Frame, LensHints, LensSolution, StarSearch, find_stars_in, solve_lens_on};
use quantity::{GeoPosition, Timestamp};

use super::report::ReadLens;
use crate::LensProfile;

/// The lens of a sequence, and which way it looked.
#[derive(Debug, Clone)]
pub struct SequenceLens {
    pub(super) solution: Option<LensSolution>,
    pub(super) report: ReadLens,
}

impl SequenceLens {
    /// No lens, and why.
    pub fn unknown(why_not: impl Into<String>) -> Self {
        let report = ReadLens { solved: false, why_not: Some(why_not.into()), ..ReadLens::default() };
        Self { solution: None, report }
    }

    /// Asks the stars of one frame; the camera is taken to stand still for the sequence.
    ///
    /// * `name`: of the frame.
    /// * `at`: the middle of its exposure.
    /// * `profile`: the lens as found before.
    pub fn of(frame: &Frame, name: &str, at: Timestamp, place: GeoPosition, profile: Option<&LensProfile>) -> Self {
        let mut plane = match frame.luminance() {
            Ok(plane) => plane,
            Err(error) => return Self::unknown(format!("{name}: {error}")),
        };
        let field = find_stars_in(&mut plane, &StarSearch::default());
        let hints = LensHints {
            lens: profile.and_then(|profile| profile.model_for(frame.stored_size)),
            pixel_aspect: frame.metadata.pixel_aspect,
            taken_at: Some(at),
            place: Some(place),
            ..LensHints::default()
        };
        match solve_lens_on(&plane, &field, &hints) {
            Ok(solution) if solution.contradicts_time => {
                Self::unknown(format!("{name}: its stars would stand below the horizon at the time and place given"))
            }
            Ok(solution) => {
                let report = ReadLens {
                    solved: true,
                    why_not: None,
                    frame: Some(name.to_owned()),
                    stars: u32::try_from(solution.matched).ok(),
                    residual_px: Some(solution.residual_px),
                    alt_deg: solution.alt_deg,
                    az_deg: solution.az_deg,
                };
                Self { solution: Some(solution), report }
            }
            Err(failure) => Self::unknown(format!("{name}: {failure}; {}", failure.hint())),
        }
    }

    /// Whether directions are known.
    pub fn is_solved(&self) -> bool {
        self.solution.is_some()
    }
}
