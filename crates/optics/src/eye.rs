use quantity::{EmissionLine, LineBrightness};
use serde::{Deserialize, Serialize};

use crate::adaptation::{cone_log10_elevation, rod_log10_elevation};
use crate::contrast::{BACKGROUND_FLOOR_CD_M2, joined_contrast, sky_luminance_cd_m2};
use crate::luminance::{line_luminance_per_kr, photopic_cd_m2, scotopic_cd_m2};

/// Scotopic over photopic luminance of the lamp in Blackwell's (1946) experiment, 2850 K.
pub const LAMP_SP_RATIO: f64 = 1.408;
/// Field factor of a typical observer; trained ones reach 1.4, hurried ones 2.4 (Crumey 2014).
pub const TYPICAL_FIELD_FACTOR: f64 = 2.0;
/// How much brighter a glow without edges must be than a patch with sharp ones. A judgement: the sharp-edged limit of
/// about 0.3 kR in a dark sky against the 1 kR that observers call just visible.
pub const SOFT_EDGE_FACTOR: f64 = 3.0;
/// Least luminance the cones see as a large patch in the dark at field factor 1, cd m⁻². Set so that a wide glow of
/// 630.0 nm alone appears at 4.2 kR for a typical observer, the middle of the 3 to 6 kR that observers of SAR arcs name.
const CONE_FLOOR_CD_M2: f64 = 0.96e-4;
/// Patch at which the cones' floor has doubled, square degrees (a judgement).
const CONE_FLOOR_DOUBLES_AT_DEG2: f64 = 3.0;
/// Rods count in full below this photopic background and no more above the second, cd m⁻² (CIE 191's range, rounded).
const RODS_FULL_BELOW_CD_M2: f64 = 0.1;
const RODS_NONE_ABOVE_CD_M2: f64 = 5.0;
/// Photopic luminance at which the first hint of colour comes, cd m⁻² (a model choice: 5 kR of 557.7 nm).
const COLOUR_FROM_CD_M2: f64 = 1e-3;
/// Photopic luminance from which colour is full, cd m⁻² (155 kR of 557.7 nm).
const COLOUR_FULL_FROM_CD_M2: f64 = 3e-2;

/// The light of the sky behind a patch, for cones and for rods.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct EyeBackground {
    /// Photopic luminance, cd m⁻².
    pub photopic_cd_m2: f64,
    /// Scotopic luminance, scotopic cd m⁻².
    pub scotopic_cd_m2: f64,
}

impl EyeBackground {
    /// A sky known only by its V brightness, taken to have the colour of the laboratory's lamp.
    ///
    /// A moonless sky is about that white; moonlight is bluer, sodium light redder.
    pub fn from_sky_magnitude(mag_arcsec2: f64) -> Self {
        let photopic_cd_m2 = sky_luminance_cd_m2(mag_arcsec2);
        Self { photopic_cd_m2, scotopic_cd_m2: LAMP_SP_RATIO * photopic_cd_m2 }
    }
}

/// Least luminance at which a patch is seen, by either system alone.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ThresholdLuminance {
    /// For the rods, scotopic cd m⁻²; infinite where they are bleached.
    pub rod_scotopic_cd_m2: f64,
    /// For the cones, photopic cd m⁻².
    pub cone_photopic_cd_m2: f64,
}

/// How many times above threshold a patch is, by either system alone.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct VisibilityRatio {
    /// For the rods: colourless sight.
    pub rods: f64,
    /// For the cones.
    pub cones: f64,
}

impl VisibilityRatio {
    /// The better of the two; the patch is seen where this is 1 or more.
    pub fn best(self) -> f64 {
        self.rods.max(self.cones)
    }
}

/// Least luminance at which an even patch with a sharp edge is seen by a fully dark-adapted person.
///
/// Rods: the contrast threshold in the rods' own units, so that the colour of the patch does not matter. Cones: what they
/// need at least in the dark plus the same contrast, so that a bright red glow, which rods hardly see, is seen at 3 to
/// 6 kR. The cone part is a judgement; the rod part is measured on people. A glow without edges needs
/// [`SOFT_EDGE_FACTOR`] times more: see [`ThresholdLuminance::soft_edged`].
///
/// * `patch_deg2`: solid angle of the patch; 10 is a hand at arm's length.
/// * `field_factor`: 1 in the laboratory, [`TYPICAL_FIELD_FACTOR`] for a person outside.
///
/// # Source
///
/// Crumey (2014), see [`crate::contrast_threshold`]. Checked in `tests/it/published.rs`.
///
/// # Example
///
/// ```
/// use optics::{EyeBackground, visible_threshold};
/// use quantity::EmissionLine;
///
/// let dark = visible_threshold(EyeBackground::from_sky_magnitude(22.0), 10.0, 2.0);
/// assert!((dark.of_line_kr(EmissionLine::Green5577) - 0.253).abs() < 0.002);
/// ```
pub fn visible_threshold(background: EyeBackground, patch_deg2: f64, field_factor: f64) -> ThresholdLuminance {
    let rods_b = (background.scotopic_cd_m2 / LAMP_SP_RATIO).max(BACKGROUND_FLOOR_CD_M2);
    let cones_b = background.photopic_cd_m2.max(BACKGROUND_FLOOR_CD_M2);
    let rods_lamp_cd_m2 = field_factor * joined_contrast(rods_b, patch_deg2) * rods_b;
    // Most skies are given with the lamp's own colour: then one evaluation serves both systems.
    let cones_lamp_cd_m2 = if (rods_b - cones_b).abs() <= 1e-9 * cones_b {
        rods_lamp_cd_m2
    } else {
        field_factor * joined_contrast(cones_b, patch_deg2) * cones_b
    };
    let rod_share = rod_share(cones_b);
    let floor_cd_m2 = field_factor * CONE_FLOOR_CD_M2 * (1.0 + CONE_FLOOR_DOUBLES_AT_DEG2 / patch_deg2.max(0.01));
    ThresholdLuminance {
        rod_scotopic_cd_m2: LAMP_SP_RATIO * rods_lamp_cd_m2 / rod_share,
        // Where the rods set the laboratory's threshold, the cones do no better than the rods on that lamp.
        cone_photopic_cd_m2: floor_cd_m2 + (1.0 + (LAMP_SP_RATIO - 1.0) * rod_share) * cones_lamp_cd_m2,
    }
}

/// [`visible_threshold`] for a person who saw white light so many minutes ago.
///
/// The eye's own loss adds to what the sky demands: under a bright moon waiting helps little, under a dark sky for half
/// an hour. See [`crate::adaptation_log10_elevation`].
pub fn visible_threshold_after(
    background: EyeBackground,
    patch_deg2: f64,
    field_factor: f64,
    minutes_since_white_light: f64,
) -> ThresholdLuminance {
    let sky = visible_threshold(background, patch_deg2, field_factor);
    sky.plus(waiting_loss(patch_deg2, field_factor, minutes_since_white_light))
}

/// What the eye's own loss adds to the threshold that a sky demands, whatever the sky.
pub(crate) fn waiting_loss(patch_deg2: f64, field_factor: f64, minutes_since_white_light: f64) -> ThresholdLuminance {
    let dark = visible_threshold(EyeBackground { photopic_cd_m2: 0.0, scotopic_cd_m2: 0.0 }, patch_deg2, field_factor);
    let excess = |log10: f64| 10f64.powf(log10) - 1.0;
    ThresholdLuminance {
        rod_scotopic_cd_m2: excess(rod_log10_elevation(minutes_since_white_light)) * dark.rod_scotopic_cd_m2,
        cone_photopic_cd_m2: excess(cone_log10_elevation(minutes_since_white_light)) * dark.cone_photopic_cd_m2,
    }
}

/// Share of the rods on a background: 1 at night, 0 by day, even steps per decade between.
fn rod_share(photopic_cd_m2: f64) -> f64 {
    if photopic_cd_m2 <= RODS_FULL_BELOW_CD_M2 {
        return 1.0;
    }
    let decades = (RODS_NONE_ABOVE_CD_M2 / photopic_cd_m2).log10();
    (decades / (RODS_NONE_ABOVE_CD_M2 / RODS_FULL_BELOW_CD_M2).log10()).max(0.0)
}

impl ThresholdLuminance {
    /// Both thresholds, each with the other's own added.
    #[must_use]
    pub(crate) fn plus(self, other: Self) -> Self {
        Self {
            rod_scotopic_cd_m2: self.rod_scotopic_cd_m2 + other.rod_scotopic_cd_m2,
            cone_photopic_cd_m2: self.cone_photopic_cd_m2 + other.cone_photopic_cd_m2,
        }
    }

    /// Both thresholds multiplied by `factor`.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        Self {
            rod_scotopic_cd_m2: self.rod_scotopic_cd_m2 * factor,
            cone_photopic_cd_m2: self.cone_photopic_cd_m2 * factor,
        }
    }

    /// The threshold of a glow without edges, [`SOFT_EDGE_FACTOR`] times as high.
    #[must_use]
    pub fn soft_edged(self) -> Self {
        self.scaled(SOFT_EDGE_FACTOR)
    }

    /// Brightness at which a patch of one line alone is seen, kR: by rods or cones, whichever comes first.
    pub fn of_line_kr(self, line: EmissionLine) -> f64 {
        self.rods_of_line_kr(line).min(self.cones_of_line_kr(line))
    }

    /// Brightness at which the rods see a patch of one line alone, kR.
    pub fn rods_of_line_kr(self, line: EmissionLine) -> f64 {
        self.rod_scotopic_cd_m2 / line_luminance_per_kr(line).scotopic_cd_m2
    }

    /// Brightness at which the cones see a patch of one line alone, kR.
    pub fn cones_of_line_kr(self, line: EmissionLine) -> f64 {
        self.cone_photopic_cd_m2 / line_luminance_per_kr(line).photopic_cd_m2
    }

    /// How many times above threshold a patch of aurora is.
    pub fn visibility(self, patch: &LineBrightness) -> VisibilityRatio {
        VisibilityRatio {
            rods: scotopic_cd_m2(patch) / self.rod_scotopic_cd_m2,
            cones: photopic_cd_m2(patch) / self.cone_photopic_cd_m2,
        }
    }
}

/// How much of its colour an aurora shows to the eye, 0 (grey) to 1, from its own photopic luminance.
///
/// A model choice, not a measurement: no published colour threshold in rayleighs is known. 557.7 nm: none below 5 kR, all
/// above 155 kR; 630.0 nm starts at 22 kR, 427.8 nm at 413 kR. Not a number counts as none.
pub fn colour_saturation(aurora_photopic_cd_m2: f64) -> f64 {
    if aurora_photopic_cd_m2.is_nan() || aurora_photopic_cd_m2 <= COLOUR_FROM_CD_M2 {
        return 0.0;
    }
    let decades = (aurora_photopic_cd_m2 / COLOUR_FROM_CD_M2).log10();
    (decades / (COLOUR_FULL_FROM_CD_M2 / COLOUR_FROM_CD_M2).log10()).min(1.0)
}

/// Photopic luminance at which an aurora shows so much of its colour, cd m⁻²: the inverse of [`colour_saturation`].
///
/// * `saturation`: brought into 0..=1; 0 gives the luminance at which the first hint comes.
pub fn colour_luminance_cd_m2(saturation: f64) -> f64 {
    COLOUR_FROM_CD_M2 * (COLOUR_FULL_FROM_CD_M2 / COLOUR_FROM_CD_M2).powf(saturation.clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_luminance_of_a_saturation_has_that_saturation() {
        for saturation in [0.1, 0.5, 0.9] {
            assert!((colour_saturation(colour_luminance_cd_m2(saturation)) - saturation).abs() < 1e-12);
        }
    }
}
