//! A grid of light as a person out there sees it.

mod acuity;
mod display;
mod grid;
mod scene;
mod statistics;
mod visible;

pub use acuity::acuity_cycles_per_deg;
pub use display::{EyeDisplay, cone_threshold_cd_m2, rod_threshold_cd_m2, srgb_byte, xyz_of_linear_srgb};
pub use scene::EyeScene;
pub use statistics::{EyeRegion, EyeStatistics, SeenAs, seen_as};

use display::{WHITE, encoded, pressed};
use grid::Grid;
use scene::CellLight;

use crate::OpticsError;
use crate::error::within;
use crate::eye::colour_saturation;
use crate::mesopic::mesopic;

/// Field factors of people: half of the laboratory's, and ten times it for somebody hurried and untrained.
const FIELD_FACTORS: (f64, f64) = (0.5, 10.0);
/// Longest wait in the dark that changes anything, minutes: a whole night counts too.
const MINUTES: (f64, f64) = (0.0, 1440.0);
/// Least luminance an eye adapts to, cd m⁻².
const DARKEST_CD_M2: f64 = 1e-5;

/// Who looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EyeObserver {
    /// Minutes since the last white light.
    pub minutes_since_white_light: f64,
    /// How much more contrast this person needs than the laboratory's: see [`crate::visible_threshold`].
    pub field_factor: f64,
}

impl Default for EyeObserver {
    /// Half an hour in the dark, a typical observer.
    fn default() -> Self {
        Self { minutes_since_white_light: 30.0, field_factor: crate::TYPICAL_FIELD_FACTOR }
    }
}

impl EyeObserver {
    /// Checks the two numbers.
    ///
    /// # Errors
    ///
    /// Out of range.
    pub fn check(&self) -> Result<(), OpticsError> {
        within("minutes since white light", self.minutes_since_white_light, MINUTES.0, MINUTES.1)?;
        within("field factor", self.field_factor, FIELD_FACTORS.0, FIELD_FACTORS.1)
    }
}

/// What a person sees, as a picture for a screen and in numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct EyeView {
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Red, green, blue of each cell, 8 bits of sRGB, row by row.
    pub rgb: Vec<u8>,
    /// Luminance of each cell as seen, cd m⁻²: details that are missed are gone from it.
    pub seen_cd_m2: Vec<f32>,
    /// Luminance that the eye is adapted to, cd m⁻².
    pub adapted_cd_m2: f64,
    /// What vanished, stayed grey, had colour.
    pub statistics: EyeStatistics,
}

/// Shows a grid of light as a person out there sees it: a simulation, for a typical eye.
///
/// Light becomes photopic and scotopic luminance and their mesopic mixture (CIE 191); details at every size, from a cell to the
/// whole view, are kept, weakened or lost by the contrast threshold for a patch of that size on its own surroundings
/// (Crumey 2014), which waiting in the dark lowers, and by acuity; colour comes in with the cones
/// ([`colour_saturation`]); the rest is scaled so that what is just seen out there is just seen on the screen (Ferwerda 1996).
/// Method, sources and limits: `docs/eye-view.md`.
///
/// # Errors
///
/// Sizes that do not fit, angles, times and luminances out of range.
///
/// ```
/// use optics::{EyeDisplay, EyeObserver, EyeScene, eye_view};
///
/// // an even grey card by day comes back as it was
/// let card = EyeScene {
///     width: 16,
///     height: 16,
///     cell_deg: 0.1,
///     lines_kr: vec![[0.0; 3]; 256],
///     other_xyz_cd_m2: vec![[0.9505 * 180.0, 180.0, 1.089 * 180.0]; 256],
///     white_cd_m2: 1000.0,
/// };
/// let seen = eye_view(&card, &EyeObserver::default(), &EyeDisplay::default())?;
/// assert_eq!(seen.rgb[..3], [118, 118, 118]); // 18 % of white under the sRGB curve
/// # Ok::<(), optics::OpticsError>(())
/// ```
pub fn eye_view(scene: &EyeScene, observer: &EyeObserver, screen: &EyeDisplay) -> Result<EyeView, OpticsError> {
    scene.check()?;
    observer.check()?;
    screen.check()?;
    let cells = scene.width * scene.height;
    let mut values = [Vec::with_capacity(cells), Vec::with_capacity(cells)];
    for cell in 0..cells {
        let light = scene.light(cell);
        values[0].push(single(light.aurora[1] + light.other[1]));
        values[1].push(single(light.scotopic));
    }
    let [photopic, scotopic] = values.map(|values| Grid { width: scene.width, height: scene.height, values });
    let adapted_cd_m2 = adapting(&photopic, &scotopic);
    let seen = visible::seen(photopic, scotopic, scene.cell_deg, observer);
    let day = mesopic(adapted_cd_m2, adapted_cd_m2).cone_share;
    let night_gain = screen.gain(adapted_cd_m2, observer.minutes_since_white_light) / screen.peak_cd_m2;
    let gain = night_gain.powf(1.0 - day) * scene.white_cd_m2.recip().powf(day);
    let mut rgb = Vec::with_capacity(3 * cells);
    for (cell, seen) in seen.values.iter().enumerate() {
        let share = pressed(gain * f64::from(*seen), day);
        rgb.extend(match coloured(&scene.light(cell)) {
            Some(colour) => encoded(colour.map(|value| value * share)),
            None => [srgb_byte(share); 3],
        });
    }
    Ok(EyeView {
        width: scene.width,
        height: scene.height,
        rgb,
        seen_cd_m2: seen.values,
        adapted_cd_m2,
        statistics: statistics::of(scene, observer),
    })
}

/// Colour of a cell as the cones have it, Y = 1: each light keeps as much of its own as it has luminance for. `None` is grey, as
/// most of a night is.
fn coloured(cell: &CellLight) -> Option<[f64; 3]> {
    let all = cell.aurora[1] + cell.other[1];
    let (aurora, other) = (colour_saturation(cell.aurora[1]), colour_saturation(cell.other[1]));
    (all > 0.0 && aurora.max(other) > 0.0).then(|| {
        std::array::from_fn(|i| {
            let of = |xyz: &[f64; 3], kept: f64| kept * xyz[i] + (1.0 - kept) * xyz[1] * WHITE[i];
            (of(&cell.aurora, aurora) + of(&cell.other, other)) / all
        })
    })
}

/// Luminance that an eye wandering over the view is adapted to: the mean of the logarithms, which lamps and the moon do not rule.
fn adapting(photopic: &Grid, scotopic: &Grid) -> f64 {
    /// Halvings before the mean: the eye does not adapt to single cells.
    const HALVINGS: usize = 3;
    let (mut photopic, mut scotopic) = (photopic.halved(), scotopic.halved());
    for _ in 1..HALVINGS {
        (photopic, scotopic) = (photopic.halved(), scotopic.halved());
    }
    let logs: f64 = photopic
        .values
        .iter()
        .zip(&scotopic.values)
        .map(|(p, s)| mesopic(f64::from(*p), f64::from(*s)).luminance_cd_m2.max(DARKEST_CD_M2).ln())
        .sum();
    (logs / photopic.values.len() as f64).exp()
}

#[expect(clippy::cast_possible_truncation, reason = "light that fits a float")]
fn single(value: f64) -> f32 {
    value as f32
}
