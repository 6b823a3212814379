use serde::{Deserialize, Serialize};

/// Adaptation coefficient at 1 cd m⁻² (CIE 191:2010, MES2).
const OFFSET: f64 = 0.7670;
/// Adaptation coefficient per decade of luminance.
const SLOPE: f64 = 0.3334;
/// V'(555 nm) as the system uses it: 683/1699.
const ROD_WEIGHT_AT_555: f64 = 683.0 / 1699.0;
/// Above this the cones alone count, cd m⁻².
pub const PHOTOPIC_FROM_CD_M2: f64 = 5.0;
/// Below this the rods alone count, cd m⁻².
pub const SCOTOPIC_BELOW_CD_M2: f64 = 0.005;
/// Halvings of the bracket: 2⁻⁵⁰ of the unit interval is below rounding.
const HALVINGS: usize = 50;

/// Luminance as an eye between rods and cones has it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Mesopic {
    /// Mesopic luminance, cd m⁻².
    pub luminance_cd_m2: f64,
    /// Share of the cones, 0 (rods alone) to 1 (cones alone).
    pub cone_share: f64,
}

/// Mesopic luminance of a light given to cones and rods apart.
///
/// Solved by bisection: the usual iteration from 0.5 does not converge at extreme ratios of scotopic to photopic
/// luminance, and blue aurora has one of 45. Negative or not-a-number input counts as no light.
///
/// # Source
///
/// CIE 191:2010, system MES2. Failure of the iteration: Gao et al., Opt. Express 25 (2017).
///
/// ```
/// let dusk = optics::mesopic(0.1, 0.205);
/// assert!((dusk.luminance_cd_m2 - 0.1324).abs() < 0.0001);
/// ```
pub fn mesopic(photopic_cd_m2: f64, scotopic_cd_m2: f64) -> Mesopic {
    let (photopic, scotopic) = (photopic_cd_m2.max(0.0), scotopic_cd_m2.max(0.0));
    if photopic >= PHOTOPIC_FROM_CD_M2 {
        return Mesopic { luminance_cd_m2: photopic, cone_share: 1.0 };
    }
    let mixed = |m: f64| {
        let rods = (1.0 - m) * ROD_WEIGHT_AT_555;
        (m * photopic + rods * scotopic) / (m + rods)
    };
    // the mixture lies between the two, so that no share of the cones is found below this: most of a night's sky is
    if photopic.max(scotopic) <= SCOTOPIC_BELOW_CD_M2 {
        return Mesopic { luminance_cd_m2: mixed(0.0), cone_share: 0.0 };
    }
    let excess = |m: f64| m - (OFFSET + SLOPE * mixed(m).log10()).clamp(0.0, 1.0);
    let (mut low, mut high) = (0.0, 1.0);
    // excess(0) <= 0 <= excess(1): the bracket always holds a root
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if excess(middle) <= 0.0 { low = middle } else { high = middle }
    }
    // an end the bracket never left is that end itself, not a rounding away from it
    let cone_share = if low < f64::EPSILON {
        0.0
    } else if high >= 1.0 {
        1.0
    } else {
        low
    };
    Mesopic { luminance_cd_m2: mixed(cone_share), cone_share }
}
