//! Town glow along the rim of the sky.

use quantity::Horizontal;
use serde::{Deserialize, Serialize};
use sky::background::Background;

use crate::Site;
use crate::framing::{Framing, milli};

/// Altitude at which the rim is looked at, degrees.
const RIM_ALTITUDE_DEG: f64 = 5.0;
/// Spacing along it, degrees.
const RIM_STEP_DEG: u16 = 10;
/// Towns named are within this distance, km.
const NAMED_WITHIN_KM: f64 = 100.0;
/// Most towns named.
const MOST_NAMED: usize = 5;

/// Town glow near the horizon in one direction.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct RimGlow {
    /// Azimuth, degrees.
    pub azimuth_deg: f64,
    /// Town light over the light of a natural sky, 5 degrees above the horizon; a factor of 2 either way is usual.
    pub town_over_natural: f64,
    /// Whether that direction is in the picture.
    pub inside: bool,
}

/// A town whose direction is in the picture.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct TownInFrame {
    /// Its name (GeoNames, CC BY 4.0).
    pub name: String,
    /// Azimuth, degrees.
    pub bearing_deg: f64,
    /// Distance, km.
    pub distance_km: f64,
    /// People.
    pub population: u32,
}

/// Glow along the rim, north through east.
pub(super) fn rim(background: &Background, framing: &Framing) -> Vec<RimGlow> {
    (0..360)
        .step_by(usize::from(RIM_STEP_DEG))
        .map(|azimuth| {
            let direction = Horizontal::new(RIM_ALTITUDE_DEG, f64::from(azimuth));
            RimGlow {
                azimuth_deg: direction.azimuth_deg,
                town_over_natural: milli(over_natural(background, direction)),
                inside: framing.place(direction).inside,
            }
        })
        .collect()
}

/// Town light over natural light at the rim of an azimuth.
pub(super) fn rim_ratio(background: &Background, azimuth_deg: f64) -> f64 {
    over_natural(background, Horizontal::new(RIM_ALTITUDE_DEG, azimuth_deg))
}

fn over_natural(background: &Background, direction: Horizontal) -> f64 {
    let light = background.at(direction);
    if light.natural_nl > 0.0 { light.town_nl / light.natural_nl } else { 0.0 }
}

/// The nearest towns whose direction on the horizon is in the picture.
pub(super) fn towns(site: &Site, framing: &Framing) -> Vec<TownInFrame> {
    sky::towns::named_near(site.position, NAMED_WITHIN_KM)
        .into_iter()
        .filter(|town| framing.place(Horizontal::new(0.0, town.seen.bearing_deg)).inside)
        .take(MOST_NAMED)
        .map(|town| TownInFrame {
            name: town.name.to_owned(),
            bearing_deg: milli(town.seen.bearing_deg),
            distance_km: milli(town.seen.distance_km),
            population: town.seen.population,
        })
        .collect()
}
