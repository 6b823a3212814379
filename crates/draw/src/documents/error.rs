use jiff::civil::Date;
use thiserror::Error;

/// A document that cannot be made from a report.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum DocumentError {
    /// The outlook holds no window, and a calendar without an event is none (RFC 5545, 3.6).
    #[error("no stretch of the night of {night} at {site} is worth an entry in a calendar")]
    NoWindow {
        /// The site.
        site: String,
        /// The night.
        night: Date,
    },
}

impl DocumentError {
    /// What to do about it, for the terminal and the page alike.
    pub fn hint(&self) -> String {
        match self {
            Self::NoWindow { .. } => {
                "export the field card instead, or ask again with another night, site or Kp".to_owned()
            }
        }
    }
}
