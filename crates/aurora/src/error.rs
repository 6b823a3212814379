use thiserror::Error;

/// Why no sky could be computed.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum AuroraError {
    /// A field line near the site does not rise to an apex above 110 km: the place is too near the magnetic equator.
    #[error("no auroral field line at latitude {latitude_deg:.1}, longitude {longitude_deg:.1}")]
    NoFieldLine {
        /// Where, degrees.
        latitude_deg: f64,
        /// Where, degrees.
        longitude_deg: f64,
        /// What the tracing said.
        source: geomag::GeomagError,
    },
}

impl AuroraError {
    /// What to do about it.
    pub fn hint(&self) -> String {
        match self {
            Self::NoFieldLine { .. } => {
                "aurora is not modelled within about 25 degrees of the magnetic equator; none is seen there".to_owned()
            }
        }
    }
}
