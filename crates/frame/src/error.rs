use thiserror::Error;

use crate::FileKind;

/// Longest account of a decoder that is passed on, characters: one line of a terminal.
const LONGEST_CAUSE: usize = 160;

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
    /// The first bytes are those of no kind of picture known here.
    #[error("this is no picture that can be read here; it begins with {beginning}")]
    Unrecognised {
        /// The first bytes in hexadecimal, or the words "nothing at all".
        beginning: String,
    },
    /// A kind or variety that is known but not read.
    #[error("{what} cannot be read here")]
    Unsupported {
        /// What it is, in words ("a JPEG in CMYK colours").
        what: String,
        /// What to do instead.
        remedy: &'static str,
    },
    /// A raw picture in its maker's own packing.
    #[error("{what} cannot be read here")]
    PackedRaw {
        /// What it is, in words ("a Canon CR3 raw file").
        what: String,
    },
    /// Larger than the limits that were given.
    #[error("the picture is too large: {value} {quantity}, and the limit is {limit}")]
    TooLarge {
        /// What was measured, in words.
        quantity: &'static str,
        /// How much the file says or has.
        value: u64,
        /// How much is let in.
        limit: u64,
    },
    /// A width or height of zero.
    #[error("the picture has no pixels")]
    NoPixels,
    /// The file breaks off or contradicts itself.
    #[error("the {kind} file is damaged: {cause}")]
    Damaged {
        /// What the file is.
        kind: FileKind,
        /// What the decoder says.
        cause: String,
    },
    /// A decoder gave up by panicking; the panic was caught.
    #[error("the {kind} decoder failed on this file")]
    DecoderFailed {
        /// What the file is.
        kind: FileKind,
    },
}

impl FrameError {
    /// What to do about it.
    pub fn hint(&self) -> String {
        match self {
            Self::PlaneSize { .. } => "give width times height samples".to_owned(),
            Self::Unrecognised { .. } => {
                "give a JPEG, PNG, TIFF, DNG, HEIC, FITS, PGM, PPM, GIF, WebP or BMP file; unpack archives first"
                    .to_owned()
            }
            Self::Unsupported { remedy, .. } => (*remedy).to_owned(),
            Self::PackedRaw { .. } => {
                "save it as uncompressed DNG, or develop it without changes to a 16-bit TIFF".to_owned()
            }
            Self::TooLarge { .. } => "export a smaller copy of the picture".to_owned(),
            Self::NoPixels => "give a file that holds a picture".to_owned(),
            Self::Damaged { .. } => "copy the file from the card again, or export it anew".to_owned(),
            Self::DecoderFailed { .. } => "export the picture as JPEG or 16-bit TIFF and try that".to_owned(),
        }
    }

    /// Damage, in the words of a decoder, cut to one line.
    pub(crate) fn damaged(kind: FileKind, cause: impl std::fmt::Display) -> Self {
        let cause = cause.to_string();
        let clean = cause.chars().map(|c| if c.is_control() { ' ' } else { c });
        Self::Damaged { kind, cause: clean.take(LONGEST_CAUSE).collect() }
    }
}
