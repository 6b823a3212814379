use thiserror::Error;

/// Why no lens is given for a picture.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[non_exhaustive]
pub enum LensFailure {
    /// Too few places to make a pattern that chance does not make.
    #[error("too few stars: {found} found, {needed} needed")]
    TooFewStars {
        /// Stars of the picture.
        found: usize,
        /// Least number.
        needed: usize,
    },
    /// No lens and direction tried puts the catalogue's stars on enough of the picture's.
    #[error("no direction in the sky fits the {found} stars found")]
    NothingFits {
        /// Stars of the picture.
        found: usize,
    },
    /// A part of the picture fits the sky and the rest does not, by any one lens.
    #[error("only a part of the picture fits the sky ({matched} stars of it): it may be stitched or warped")]
    OnlyInPart {
        /// Stars that fit together.
        matched: usize,
    },
    /// The direction is found, but the stars do not say how the lens goes on to the edges.
    #[error("{matched} stars fit the sky, but are too few or too close together for the edges of the picture")]
    Loose {
        /// Stars that fit together.
        matched: usize,
    },
}

impl LensFailure {
    /// What may help.
    pub fn hint(&self) -> String {
        match self {
            Self::TooFewStars { .. } | Self::Loose { .. } => "use a longer exposure, a clearer sky or a frame in better focus",
            Self::NothingFits { .. } => {
                "give the focal length and the pixel size if the picture does not hold them, or use a frame with more clear sky"
            }
            Self::OnlyInPart { .. } => "use a single frame as it left the camera",
        }
        .to_owned()
    }
}
