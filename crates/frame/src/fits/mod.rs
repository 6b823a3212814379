//! FITS: the first picture of a file, uncompressed, or those of a cube one after another.
//!
//! # Source
//!
//! FITS Standard 4.0 (2018), IAU FITS Working Group: 3.3 (units of 2 880 bytes), 4.1 and 4.2 (cards and values), 4.4.2
//! (`BSCALE`, `BZERO`, `BLANK`), 5 (numbers, the greater byte first), 7.1 (image extension).

mod header;
mod image;

pub(crate) use header::Header;
pub(crate) use image::{decode, decode_one, pictures, step_s};
