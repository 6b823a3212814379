use thiserror::Error;

/// Why a picture cannot be opened or measured.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum FrameError {
    /// A plane's samples do not fill its sides.
    #[error("{samples} samples do not make a plane of {width} by {height}")]
    PlaneSize {
        /// Samples in a row.
        width: usize,
        /// Rows.
        height: usize,
        /// Samples given.
        samples: usize,
    },
}

impl FrameError {
    /// What to do about it.
    pub fn hint(&self) -> String {
        match self {
            Self::PlaneSize { .. } => "give width times height samples".to_owned(),
        }
    }
}
