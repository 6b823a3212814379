//! Magnetograms of ground stations: IAGA-2002 text of any cadence, and the JSON of the US Geological Survey's service.
//!
//! What a column holds is taken from the line of column names, never from its place. Values of 88888 (not recorded) and
//! 99999 (missing) or more are gaps. Samples are put on an even grid of time; a gap stays a gap.
//!
//! **What it does not do:** no despiking, no base line, no event is looked for; declination is not turned into nanoteslas.

mod grid;
mod header;
mod iaga;
mod usgs;

use job::MagneticRecord;
use serde::Serialize;

use crate::body::text_up_to;
use crate::{FeedError, RowError};

/// What is expected, for messages.
pub(crate) const EXPECTED: &str = "a magnetogram";
/// Largest file read, bytes: eight days of seconds as IAGA-2002 text have 50 MB.
const LARGEST_BYTES: usize = 64 * 1024 * 1024;

/// A magnetogram as it was read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Magnetogram {
    /// File or address it was read from.
    pub source_name: String,
    /// The record.
    pub record: MagneticRecord,
    /// Rows and columns left out because they cannot be true, the first 1000 of them.
    pub rejected: Vec<RowError>,
    /// Rows left out beyond those kept in `rejected`.
    pub rejected_beyond: usize,
}

/// Reads a magnetogram, whichever of the two shapes it has.
///
/// # Errors
///
/// Something else than a magnetogram, or one without a single good value. Bad rows are left out and reported.
///
/// # Example
///
/// ```
/// let file = b" IAGA CODE              TST                                          |\n\
/// DATE       TIME         DOY     TSTX      TSTY      TSTZ      TSTF   |\n\
/// 2026-11-14 18:00:00.000 318     11200.06   1900.75  51999.44  99999.00\n\
/// 2026-11-14 18:01:00.000 318     11200.91   1899.84  51999.84  99999.00\n";
/// let magnetogram = feeds::magnetometer::parse_magnetogram(file, "tst.min")?;
/// assert_eq!(magnetogram.record.cadence_s, 60.0);
/// assert_eq!(magnetogram.record.values(job::MagneticElement::X), Some(&[Some(11200.06), Some(11200.91)][..]));
/// # Ok::<(), feeds::FeedError>(())
/// ```
pub fn parse_magnetogram(bytes: &[u8], source_name: &str) -> Result<Magnetogram, FeedError> {
    let text = text_up_to(bytes, source_name, EXPECTED, LARGEST_BYTES)?;
    if text.trim_start().starts_with('{') { usgs::parse(&text, source_name) } else { iaga::parse(&text, source_name) }
}
