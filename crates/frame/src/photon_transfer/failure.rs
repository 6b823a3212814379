use thiserror::Error;

use crate::FileKind;

/// Why gain and read noise cannot be measured from these pictures.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum PhotonTransferFailure {
    /// The numbers are not in proportion to light.
    #[error("a {kind} file is developed: its numbers are not in proportion to light")]
    NotLinear {
        /// What the file is.
        kind: FileKind,
    },
    /// Colours were filled in between pixels, which smooths the noise away.
    #[error("the picture has all three colours at every pixel: its noise was smoothed")]
    Demosaicked,
    /// Two pictures of different size, pattern or unit.
    #[error("the pictures differ in size, pattern or unit")]
    DifferentPictures,
    /// Two pictures with different settings.
    #[error("the pictures differ in {what}: {first} and {second}")]
    DifferentSettings {
        /// Which setting.
        what: &'static str,
        /// Of the first.
        first: f64,
        /// Of the other.
        second: f64,
    },
    /// Fewer pixels than the noise can be told from.
    #[error("the pictures are too small: {pixels} pixels, and {needed} are needed")]
    TooSmall {
        /// Pixels of a channel.
        pixels: usize,
        /// How many it takes.
        needed: usize,
    },
    /// The lamp changed between the two of a pair.
    #[error("the light changed by {percent:.1} % between the two flats of pair {pair}")]
    LightChanged {
        /// Which pair, from 1 on.
        pair: usize,
        /// By how much.
        percent: f64,
    },
    /// The light fell otherwise on the second of a pair.
    #[error("the light lay differently on the two flats of pair {pair}: by {percent:.1} % from place to place")]
    LightMoved {
        /// Which pair, from 1 on.
        pair: usize,
        /// By how much, one standard deviation.
        percent: f64,
    },
    /// No flat between dark and full.
    #[error("none of the {pairs} pairs of flats is brighter than the bias and not full")]
    NoUsableLevel {
        /// Pairs given.
        pairs: usize,
    },
    /// Flats without the noise of light: averaged or made.
    #[error("the flats have no more noise than the bias: they are no single exposures")]
    NoPhotonNoise,
}

impl PhotonTransferFailure {
    /// What to do about it.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::NotLinear { .. } | Self::Demosaicked => {
                "give raw files (uncompressed DNG) or FITS as the camera wrote them"
            }
            Self::DifferentPictures => "take all pictures with one camera in one mode",
            Self::DifferentSettings { .. } => "take the two of a pair alike, and all pictures at one ISO or gain",
            Self::TooSmall { .. } => "give whole frames",
            Self::LightChanged { .. } => {
                "use a steady lamp or an even daylit wall, and take the two right after each other"
            }
            Self::LightMoved { .. } => "fix camera and lamp, and keep shadows off",
            Self::NoUsableLevel { .. } => "give pairs of flats at a tenth, a quarter and half of full scale",
            Self::NoPhotonNoise => "give single exposures, not averages",
        }
    }
}
