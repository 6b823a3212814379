use jiff::Timestamp;
use thiserror::Error;

/// Why a place in the sky could not be worked out.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum SkyError {
    /// The instant lies outside the years for which the series were fitted and tested.
    #[error("the instant {at} is outside the years {first_year} to {last_year}")]
    InstantOutOfRange {
        /// What was asked for.
        at: Timestamp,
        /// First year covered.
        first_year: i16,
        /// Last year covered.
        last_year: i16,
    },
    /// The civil date lies outside the years covered, or so close to their end that the night leaves them.
    #[error("the night of {date} is outside the years {first_year} to {last_year}")]
    DateOutOfRange {
        /// What was asked for.
        date: jiff::civil::Date,
        /// First year covered.
        first_year: i16,
        /// Last year covered.
        last_year: i16,
    },
}

impl SkyError {
    /// What to do about it, for the terminal and the page alike.
    pub fn hint(&self) -> String {
        match self {
            Self::InstantOutOfRange { first_year, last_year, .. } => {
                format!("check the clock of the camera, or give a time between {first_year} and {last_year}")
            }
            Self::DateOutOfRange { first_year, last_year, .. } => {
                format!("give a date between {first_year}-01-02 and {last_year}-12-30")
            }
        }
    }
}
