use serde::{Deserialize, Serialize};

use super::pattern::{Drawn, Pattern, STRONG_EVIDENCE, fit_all};
use crate::StarField;

/// Which way a lens draws stars out towards the corners.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LensDirection {
    /// Away from the middle: coma, or astigmatism on one side of focus.
    Radial,
    /// Around the middle: astigmatism on the other side.
    Tangential,
}

/// Drawing out that belongs to the lens.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LensPattern {
    /// Which way.
    pub direction: LensDirection,
    /// What it adds to the variance along that direction at the outermost stars, px².
    pub outer_px2: f64,
    /// Elongation that a round star of the typical width gets from it there.
    pub outer_elongation: f64,
}

/// Elongation of the outermost stars from which a lens's pattern is worth telling.
const LEAST_OUTER_ELONGATION: f64 = 0.2;

/// The lens's own pattern, if the frame shows one beyond what is the same everywhere.
///
/// A turn about the very middle of the frame draws stars out around it as a lens can: where a turn explains the frame
/// as well, no lens is claimed.
pub(crate) fn lens_pattern(field: &StarField) -> Option<LensPattern> {
    let stars = Drawn::all(field, |_| [0.0; 2]);
    let fits = fit_all(&stars);
    let information = |pattern| fits.iter().find(|fit| fit.pattern == pattern).map(|fit| fit.information);
    let with = fits.iter().find(|fit| fit.pattern == Pattern::SameAndLens)?;
    let alone = fits.iter().find(|fit| fit.pattern == Pattern::Lens)?;
    let best = if with.information < alone.information { with } else { alone };
    let without = information(Pattern::Same)?.min(information(Pattern::Round)?);
    let outermost = stars.iter().map(|s| s.z[0] * s.z[0] + s.z[1] * s.z[1]).fold(0.0, f64::max);
    let outer_px2 = *best.values.last()? * outermost;
    let turns = information(Pattern::Turn).is_some_and(|turn| turn < best.information);
    if without - best.information < STRONG_EVIDENCE || (turns && outer_px2 < 0.0) {
        return None;
    }
    let typical = field.typical?.moments.axes_px2()[1];
    let outer_elongation = 1.0 - (typical / (typical + outer_px2.abs())).sqrt();
    (outer_elongation > LEAST_OUTER_ELONGATION).then_some(LensPattern {
        direction: if outer_px2 > 0.0 { LensDirection::Radial } else { LensDirection::Tangential },
        outer_px2,
        outer_elongation,
    })
}
