//! What goes wrong with a picture.

use serde::{Deserialize, Serialize};

use crate::error::{SceneError, within};

/// Faults, each none by default.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Faults {
    /// Diameter of a point's image by defocus, pixels.
    pub defocus_px: f64,
    /// The camera moves evenly by this during the exposure, pixels right and down in the picture.
    pub shake_px: [f64; 2],
    /// Somebody knocks the tripod after this share of the exposure, and the camera stays turned by so many pixels.
    pub knock: Option<Knock>,
    /// Dew on the front lens, 0..=1: light is spread into a halo and some is lost.
    pub dew: f64,
    /// A head lamp swept through the foreground.
    pub lamp_sweep: Option<LampSweep>,
    /// The lens is covered by so much in stops (a cap half on, a finger).
    pub dark_stops: f64,
}

/// A knock.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Knock {
    /// Share of the exposure that was over.
    pub at_share: f64,
    /// By how much the picture moved, pixels right and down.
    pub by_px: [f64; 2],
}

/// A lamp that somebody carries through the picture.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LampSweep {
    /// Where it begins and ends, azimuth, degrees.
    pub azimuths_deg: [f64; 2],
    /// Its altitude, degrees.
    pub altitude_deg: f64,
    /// V magnitude while it shines at the camera.
    pub v_mag: f64,
    /// Light it throws on the land, times the sky's.
    pub on_land: f64,
}

impl Faults {
    pub(crate) fn check(&self) -> Result<(), SceneError> {
        within("defocus in pixels", self.defocus_px, 0.0, 200.0)?;
        within("dew", self.dew, 0.0, 1.0)?;
        within("covered stops", self.dark_stops, 0.0, 30.0)?;
        let moves = self.shake_px.into_iter().chain(self.knock.iter().flat_map(|knock| knock.by_px));
        for pixels in moves {
            within("shake in pixels", pixels, -500.0, 500.0)?;
        }
        self.knock.as_ref().map_or(Ok(()), |knock| within("instant of the knock", knock.at_share, 0.0, 1.0))?;
        self.lamp_sweep.as_ref().map_or(Ok(()), |lamp| {
            within("magnitude of the lamp", lamp.v_mag, -16.0, 10.0)?;
            within("light on the land", lamp.on_land, 0.0, 1e6)
        })
    }

    /// Where the picture has moved to after a share of the exposure, pixels right and down, zero in its middle.
    pub(crate) fn moved_px(&self, share: f64) -> [f64; 2] {
        let knocked = self.knock.filter(|knock| share > knock.at_share);
        std::array::from_fn(|i| self.shake_px[i] * (share - 0.5) + knocked.map_or(0.0, |knock| knock.by_px[i]))
    }

    /// Longest move, pixels.
    pub(crate) fn longest_px(&self) -> f64 {
        let knock = self.knock.map_or(0.0, |knock| knock.by_px[0].hypot(knock.by_px[1]));
        self.shake_px[0].hypot(self.shake_px[1]) + knock
    }
}
