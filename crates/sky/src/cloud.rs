//! Light through cloud, and the chance of seeing past it.
//!
//! **What it does not do:** forecast anything. Cover and optical depth come in as given.

use quantity::Fraction;
use serde::{Deserialize, Serialize};

use crate::airmass::{above_horizon_deg, kasten_young_1989};

/// Optical depth at which a source overhead loses one magnitude: 0.4 ln 10.
pub const OPTICAL_DEPTH_PER_MAG: f64 = 0.921_034_037;
/// Lowest elevation for [`clear_sightline_chance`], degrees: below it a layer's far end is over another weather.
const LOWEST_SIGHTLINE_DEG: f64 = 1.0;
/// Share of the light that a cloud particle throws forward: asymmetry 0.85 of water and ice, visible light (textbook value).
const ASYMMETRY: f64 = 0.85;

/// Kinds of cloud that matter to a night photographer, by optical depth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CloudKind {
    /// Cirrus that nobody sees.
    SubvisualCirrus,
    /// Veil of cirrus through which stars shine.
    ThinCirrus,
    /// White cirrus.
    ThickCirrus,
    /// Altocumulus, altostratus.
    Middle,
    /// Stratus and its kin.
    Low,
}

impl CloudKind {
    /// Optical depth overhead: lower end, typical (geometric middle), upper end.
    ///
    /// # Source
    ///
    /// Cirrus: Sassen & Cho, J. Appl. Meteorol. 31, 1275 (1992). The others: textbook ranges.
    pub fn optical_depth(self) -> (f64, f64, f64) {
        match self {
            Self::SubvisualCirrus => (0.003, 0.01, 0.03),
            Self::ThinCirrus => (0.03, 0.1, 0.3),
            Self::ThickCirrus => (0.3, 1.0, 3.0),
            Self::Middle => (1.0, 4.5, 20.0),
            Self::Low => (5.0, 15.0, 50.0),
        }
    }
}

/// One layer of cloud.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct CloudLayer {
    /// Share of the sky overhead that it covers.
    pub cover: Fraction,
    /// Optical depth overhead where it is, 0 or more.
    pub optical_depth: f64,
}

impl CloudLayer {
    /// No cloud.
    pub const NONE: Self = Self { cover: Fraction::NONE, optical_depth: 0.0 };

    /// A layer of a known kind with its typical optical depth.
    pub fn of(kind: CloudKind, cover: Fraction) -> Self {
        Self { cover, optical_depth: kind.optical_depth().1 }
    }

    /// Share of the light of a wide, diffuse glow above the layer that comes through, averaged over gaps and cloud, 0..=1.
    ///
    /// Conservative two-stream form `1 / (1 + 0.75 (1 - 0.85) τ)`: cloud scatters, it does not absorb, so an
    /// overcast sky under a full moon is not black. Our simple form; ±30 %.
    pub fn diffuse_transmission(&self) -> f64 {
        let through = 1.0 / (1.0 + 0.75 * (1.0 - ASYMMETRY) * depth(self.optical_depth));
        let cover = self.cover.value();
        1.0 - cover * (1.0 - through)
    }

    /// Share of the sky hidden by it, weighing thin cloud by its opacity, 0..=1.
    pub fn opacity(&self) -> f64 {
        self.cover.value() * (1.0 - (-depth(self.optical_depth)).exp())
    }
}

/// Share of the light of a star or a narrow form that crosses a cloud of the given optical depth (overhead) at an altitude, 0..=1.
///
/// `exp(-τ X)` with the airmass of Kasten & Young. A negative or undefined depth counts as none.
pub fn cloud_transmission(optical_depth: f64, altitude_deg: f64) -> f64 {
    (-depth(optical_depth) * kasten_young_1989(altitude_deg)).exp()
}

/// Chance that a sightline at an elevation passes through a gap of a layer that covers `cover` of the sky overhead.
///
/// `(1 - c)^(1 / sqrt(sin e))`: our simple form, between holes much wider than deep (no dependence) and holes much
/// narrower (power 1/sin e). At 10° a cover of 0.3 leaves 0.42. Below 1° as at 1°.
pub fn clear_sightline_chance(cover: Fraction, altitude_deg: f64) -> Fraction {
    let elevation_deg = above_horizon_deg(altitude_deg).max(LOWEST_SIGHTLINE_DEG);
    Fraction::clamped((1.0 - cover.value()).powf(1.0 / elevation_deg.to_radians().sin().sqrt()))
}

fn depth(optical_depth: f64) -> f64 {
    // 1000 is opaque at any altitude
    if optical_depth.is_nan() { 0.0 } else { optical_depth.clamp(0.0, 1000.0) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_magnitude_is_an_optical_depth_of_0_92() {
        let overhead = cloud_transmission(OPTICAL_DEPTH_PER_MAG, 90.0);
        // the airmass formula gives 0.9997 at the zenith
        assert!((-2.5 * overhead.log10() - 1.0).abs() < 0.001);
    }

    #[test]
    fn an_overcast_has_no_gaps_and_a_clear_sky_nothing_else() {
        for altitude_deg in [-3.0, 0.0, 10.0, 90.0, f64::NAN] {
            assert_eq!(clear_sightline_chance(Fraction::ALL, altitude_deg), Fraction::NONE);
            assert_eq!(clear_sightline_chance(Fraction::NONE, altitude_deg), Fraction::ALL);
        }
    }

    #[test]
    fn thicker_cloud_lets_less_through() {
        let mut last = 1.1;
        for kind in [
            CloudKind::SubvisualCirrus,
            CloudKind::ThinCirrus,
            CloudKind::ThickCirrus,
            CloudKind::Middle,
            CloudKind::Low,
        ] {
            let (low, typical, high) = kind.optical_depth();
            assert!(low < typical && typical < high);
            let through = CloudLayer::of(kind, Fraction::ALL).diffuse_transmission();
            assert!(through < last && through > 0.0);
            last = through;
        }
    }
}
