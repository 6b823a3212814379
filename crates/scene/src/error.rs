use thiserror::Error;

/// Why a scene cannot be rendered.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum SceneError {
    /// Kit, settings or pointing cannot be.
    #[error(transparent)]
    Optics(#[from] optics::OpticsError),
    /// The instant lies outside what the sky is known for.
    #[error(transparent)]
    Sky(#[from] sky::SkyError),
    /// The field is not known at that instant or place.
    #[error(transparent)]
    Field(#[from] geomag::GeomagError),
    /// A number of the scene lies outside the range in which it has a meaning.
    #[error("{quantity} {value} is outside {low} to {high}")]
    OutOfRange {
        /// The quantity with its unit, in words.
        quantity: &'static str,
        /// What was given.
        value: f64,
        /// Smallest value allowed.
        low: f64,
        /// Largest value allowed.
        high: f64,
    },
    /// A picture larger than is rendered.
    #[error("a picture of {width} by {height} pixels is more than {most} pixels")]
    TooLarge {
        /// Columns.
        width: u32,
        /// Rows.
        height: u32,
        /// Most pixels rendered.
        most: u64,
    },
    /// A stage was asked for a scene of another place.
    #[error("the scene is of another place than the stage")]
    OtherPlace,
    /// The picture could not be packed.
    #[error("the picture cannot be packed as {kind}: {reason}")]
    Packing {
        /// Kind of file.
        kind: &'static str,
        /// What the encoder says.
        reason: String,
    },
}

impl SceneError {
    /// What to do about it.
    pub fn hint(&self) -> String {
        match self {
            Self::Optics(error) => error.hint(),
            Self::Sky(_) => "give an instant between 1950 and 2099".to_owned(),
            Self::Field(error) => error.hint(),
            Self::OutOfRange { quantity, low, high, .. } => format!("give {quantity} between {low} and {high}"),
            Self::TooLarge { most, .. } => format!("give the kit a sensor of at most {most} pixels"),
            Self::OtherPlace => "make a stage for the place of the scene".to_owned(),
            Self::Packing { kind, .. } => format!("a {kind} has sides of at most 65535 pixels: give a smaller sensor"),
        }
    }
}

/// Checks that `value` is inside `low..=high`; NaN is not.
pub(crate) fn within(quantity: &'static str, value: f64, low: f64, high: f64) -> Result<(), SceneError> {
    if (low..=high).contains(&value) { Ok(()) } else { Err(SceneError::OutOfRange { quantity, value, low, high }) }
}
