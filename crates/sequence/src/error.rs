use thiserror::Error;

/// What keeps a series from being read or a picture from being taken in.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum SequenceError {
    /// Too few samples.
    #[error("{what}: {found} samples, {needed} needed")]
    TooFewSamples {
        /// What was to be computed.
        what: &'static str,
        /// Samples that could be used.
        found: usize,
        /// Samples needed.
        needed: usize,
    },
    /// Lists that should run side by side have different lengths.
    #[error("{what} has {found} values, {expected} expected")]
    UnequalLengths {
        /// The list.
        what: &'static str,
        /// Its length.
        found: usize,
        /// The length of the others.
        expected: usize,
    },
    /// A number outside the range in which it has a meaning.
    #[error("{what} is {value}, but must be {bound}")]
    OutOfRange {
        /// The quantity with its unit.
        what: &'static str,
        /// What was given.
        value: f64,
        /// The range, as the end of a sentence.
        bound: &'static str,
    },
    /// A series without any change in it.
    #[error("{what} does not vary")]
    Constant {
        /// The series.
        what: &'static str,
    },
    /// A frame that cannot belong to the sequence.
    #[error("a frame {offset_s} s after the first is outside 0 to {longest_s} s")]
    OutOfSpan {
        /// Time after the first frame, s.
        offset_s: f64,
        /// Longest sequence, s.
        longest_s: f64,
    },
    /// A record without a component toward north.
    #[error("the record of {station} has no component toward north (X or H)")]
    NoNorthward {
        /// The station.
        station: String,
    },
    /// No direction of the line lies in the picture.
    #[error("no part of the line lies within the picture")]
    LineOutside,
    /// Magnetic coordinates cannot be had.
    #[error(transparent)]
    Magnetic(#[from] geomag::GeomagError),
}

impl SequenceError {
    /// What to do about it, for the terminal and the page alike.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::TooFewSamples { .. } => "give a longer sequence, or fewer gaps",
            Self::UnequalLengths { .. } => "give one value for each time or direction",
            Self::OutOfRange { .. } => "give a number within the range named",
            Self::Constant { .. } => "give a series in which something changes",
            Self::OutOfSpan { .. } => "leave the frame out, set the camera's clock right, or begin a new sequence",
            Self::NoNorthward { .. } => "take a record whose components are X Y Z or H D Z",
            Self::LineOutside => "take another azimuth, or frames of a wider lens",
            Self::Magnetic(_) => "give a place on the ground and a date between 1975 and 2030",
        }
    }
}
