use thiserror::Error;

/// Why a frame has no photometric calibration.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[non_exhaustive]
pub enum CalibrationFailure {
    /// Too few stars could be measured.
    #[error("{usable} of {tried} catalogue stars can be measured, and {needed} are needed")]
    TooFewStars {
        /// Stars measured well.
        usable: usize,
        /// Stars looked at.
        tried: usize,
        /// How many it takes.
        needed: usize,
    },
    /// The stars' brightness in the frame has little to do with that in the catalogue.
    #[error("the stars' light differs from the catalogue's by {scatter_mag:.1} magnitudes, star by star")]
    Scattered {
        /// Scatter, magnitudes.
        scatter_mag: f64,
    },
    /// Bright stars of the catalogue are hardly brighter than faint ones in the frame, or beyond all measure.
    #[error("the stars' light grows by {slope:.1} magnitudes for each of the catalogue's")]
    NotFollowing {
        /// Magnitudes in the frame for each of the catalogue.
        slope: f64,
    },
    /// Shutter time, ISO or f-number is missing, or no kit tells what the numbers count.
    #[error("exposure time, ISO and f-number are not all known")]
    NoSettings,
    /// The file counts in units of its own.
    #[error("the numbers of this file are of a scale that only its camera's maker knows")]
    OwnUnits,
    /// A grey camera whose ISO says nothing of its filter.
    #[error("it is not known which light this grey camera sees")]
    UnknownBand,
}

impl CalibrationFailure {
    /// What to do about it.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::TooFewStars { .. } => "give a frame in which more stars are sharp and not burnt out",
            Self::Scattered { .. } => "give a frame without cloud, developed without noise reduction, or the raw file",
            Self::NotFollowing { .. } => "give the raw file, or a frame developed without effects",
            Self::NoSettings => "give exposure time, ISO and f-number",
            Self::OwnUnits => "give a frame with stars, or a raw file",
            Self::UnknownBand => "give a frame with stars, and the filter's wavelength and width",
        }
    }
}
