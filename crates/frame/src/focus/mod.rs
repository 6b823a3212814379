//! Whether the stars of a frame are in focus, where they are not, and why.

mod map;
mod profile;
mod series;
mod words;

use quantity::{Basis, Estimate};
use serde::{Deserialize, Serialize};

pub use map::{FocusCell, FocusMap, FocusTrend};
pub use profile::{ProfileShape, StackedProfile};
pub use series::{FocusPoint, FocusSeries, best_focus};

pub(crate) use map::usable;
pub(crate) use profile::median;

use crate::motion::{LensPattern, lens_pattern};
use crate::{Plane, StarField};
use profile::across_hfd_px;

/// How well the stars are focused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FocusState {
    /// As sharp as can be expected, or as is known of this lens.
    Sharp,
    /// Wider than that, but still peaked: a little out of focus, thin cloud, dew, or a soft lens.
    Soft,
    /// Discs: well out of focus.
    Defocused,
    /// Rings: far out of focus.
    Donut,
    /// Too few stars to say.
    CannotTell,
}

/// What is known beside the picture.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct FocusReference {
    /// Half-flux diameter of the sharpest stars known of this lens and camera at this aperture, px.
    pub sharpest_hfd_px: Option<f64>,
}

/// Focus of a frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Focus {
    /// The verdict.
    pub state: FocusState,
    /// Half-flux diameter of the typical star across its long axis, px: a trail does not count as blur.
    pub hfd_px: Option<Estimate>,
    /// That over the sharpest known of the lens.
    pub over_sharpest: Option<Estimate>,
    /// Stars it rests on.
    pub stars: usize,
    /// Width over the frame.
    pub map: FocusMap,
    /// How the width changes over the frame.
    pub trend: Option<FocusTrend>,
    /// Drawing out of stars towards or around the middle of the frame that grows outwards: the lens's own.
    pub lens: Option<LensPattern>,
    /// Mean profile of the stars.
    pub profile: Option<StackedProfile>,
    /// What that profile says.
    pub shape: Option<ProfileShape>,
    /// Whether stars are even discs or rings, without a core: out of focus with any lens, however large the pixels.
    pub disc: bool,
    /// Whether the wings are those of a wet or frosted lens, or of thin cloud.
    pub halo: bool,
    /// The verdict and its reasons, a sentence each.
    pub words: Vec<String>,
}

/// Stars that a verdict needs.
const LEAST_STARS: usize = 5;
/// Widest star called sharp where nothing is known of the lens, px of half-flux diameter: a fast wide lens in good focus
/// gives 2 to 3 on sensors with colour filters (from memory).
const SHARP_HFD_PX: f64 = 3.2;
/// Width over the sharpest known up to which a star is sharp: the aperture and the night change it by about that.
const SHARP_OVER_SHARPEST: f64 = 1.2;
/// Width from which a shape without peak is a disc, px: below, pixels hide the shape.
const LEAST_DISC_PX: f64 = 4.0;
/// Radius of 80 % over that of half of the light, below which a star is a disc: 1.26 for an even disc, 1.52 for a
/// Gaussian; the middle between them.
const DISC_R80_OVER_R50: f64 = 1.39;
/// Dip of the middle from which a disc is a ring: noise in the middle of a stack stays below half of that.
const DONUT_DIP: f64 = 0.2;
/// Width from which a star is out of focus whatever its profile, px.
const DEFOCUSED_HFD_PX: f64 = 9.0;
/// Width over the sharpest known from which it is.
const DEFOCUSED_OVER_SHARPEST: f64 = 2.0;
/// Share of light in the far wings from which they are a halo. A Moffat star with exponent 2.5, wider in the wings than
/// most lenses, has 0.03; twice that is left to lenses wide open, and the rest to errors of the sky.
const HALO_SHARE: f64 = 0.15;

/// Judges the focus of a plane from its stars.
pub fn judge_focus(plane: &Plane, field: &StarField, reference: &FocusReference) -> Focus {
    let mut widths: Vec<f64> = map::usable(field).map(across_hfd_px).collect();
    let stars = widths.len();
    let hfd_px = (stars >= LEAST_STARS && field.typical.is_some()).then(|| median_estimate(&mut widths));
    let profile = StackedProfile::of(plane, &field.stars);
    let shape = profile.as_ref().map(StackedProfile::shape);
    let known = reference.sharpest_hfd_px.filter(|known| known.is_finite() && *known > 0.0);
    let over_sharpest = hfd_px.zip(known).map(|(hfd, known)| Estimate {
        value: hfd.value / known,
        low: hfd.low / known,
        high: hfd.high / known,
        basis: Basis::Measured,
    });
    let mut focus = Focus {
        state: hfd_px.map_or(FocusState::CannotTell, |hfd| state(hfd.value, over_sharpest, shape)),
        disc: hfd_px.is_some_and(|hfd| is_disc(hfd.value, shape)),
        hfd_px,
        over_sharpest,
        stars,
        map: FocusMap::of(field),
        trend: FocusTrend::of(field),
        lens: lens_pattern(field),
        profile,
        shape,
        halo: shape.and_then(|shape| shape.halo_share).is_some_and(|share| share > HALO_SHARE),
        words: Vec::new(),
    };
    focus.words = words::of(&focus);
    focus
}

fn is_disc(hfd_px: f64, shape: Option<ProfileShape>) -> bool {
    hfd_px > LEAST_DISC_PX && shape.is_some_and(|shape| shape.r80_over_r50 < DISC_R80_OVER_R50)
}

fn state(hfd_px: f64, over_sharpest: Option<Estimate>, shape: Option<ProfileShape>) -> FocusState {
    if is_disc(hfd_px, shape) {
        let ring = shape.is_some_and(|shape| shape.central_dip > DONUT_DIP);
        return if ring { FocusState::Donut } else { FocusState::Defocused };
    }
    let [sharp, defocused] = match over_sharpest {
        Some(over) => [over.value <= SHARP_OVER_SHARPEST, over.value > DEFOCUSED_OVER_SHARPEST],
        None => [hfd_px <= SHARP_HFD_PX, hfd_px > DEFOCUSED_HFD_PX],
    };
    match [sharp, defocused] {
        [true, _] => FocusState::Sharp,
        [_, true] => FocusState::Defocused,
        _ => FocusState::Soft,
    }
}

/// The median with its error: 1.25 of a mean's, the scatter from the quartiles.
fn median_estimate(values: &mut [f64]) -> Estimate {
    /// Standard deviation of a Gaussian over the distance between its quartiles.
    const SIGMA_PER_QUARTILES: f64 = 0.741_3;
    /// Error of a median over that of a mean, for a Gaussian: `sqrt(π/2)`.
    const MEDIAN_ERROR: f64 = 1.253_3;
    let middle = median(values);
    values.sort_by(f64::total_cmp);
    let at = |share: usize| values.get(values.len() * share / 4).copied().unwrap_or(middle);
    let sigma = SIGMA_PER_QUARTILES * (at(3) - at(1)) * MEDIAN_ERROR / (values.len() as f64).sqrt();
    Estimate::symmetric(middle, sigma, Basis::Measured)
}
