use std::borrow::Cow;

use crate::row::quote;
use crate::{FeedError, KpSeries, gfz, noaa};

/// Largest table read, bytes. The table since 1932 had 5.5 MB in 2026 and grows by 58 kB a year.
pub const LARGEST_BYTES: usize = 16 * 1024 * 1024;

/// Reads a Kp table of any shape known here.
///
/// * `bytes`: the body as it came; plain text, with or without byte order mark, any line ends.
/// * `source_name`: file name or address, for messages and for the source line. A name that starts with `ql` or
///   `pql` marks a `.wdc` or `.tab` file as quick-look.
///
/// # Errors
///
/// Empty, too large, a web page, compressed, no Kp table, a table of another index, or a table without one good
/// value. Single bad rows are no error: see [`KpSeries::rejected`].
pub fn parse_kp(bytes: &[u8], source_name: &str) -> Result<KpSeries, FeedError> {
    let text = readable(bytes, source_name)?;
    match text.trim_start().chars().next() {
        None => Err(FeedError::Empty { source_name: source_name.to_owned() }),
        Some('<') => Err(FeedError::Html { source_name: source_name.to_owned() }),
        Some('{') => gfz::parse_json(&text, source_name),
        Some('[') => noaa::parse_json(&text, source_name),
        Some(_) => parse_text(&text, source_name),
    }
}

/// Tells the text tables apart by the first line that looks like a row of one of them.
fn parse_text(text: &str, source_name: &str) -> Result<KpSeries, FeedError> {
    let shape = text.lines().filter(|line| is_row(line)).find_map(gfz::TextShape::of_line);
    match shape {
        Some(shape) => gfz::parse_text(text, shape, source_name),
        None if text.lines().any(is_row) => {
            let begins = quote(text.trim_start());
            Err(FeedError::Unrecognised { source_name: source_name.to_owned(), begins })
        }
        None => Err(FeedError::NoValues { source_name: source_name.to_owned() }),
    }
}

/// Whether a line is more than a comment or a blank.
pub(crate) fn is_row(line: &str) -> bool {
    let line = line.trim();
    !line.is_empty() && !line.starts_with('#')
}

/// The bytes as text. A stray byte becomes U+FFFD, which spoils its own row and no other.
fn readable<'a>(bytes: &'a [u8], source_name: &str) -> Result<Cow<'a, str>, FeedError> {
    const GZIP: [u8; 2] = [0x1f, 0x8b];
    const BYTE_ORDER_MARK: [u8; 3] = [0xef, 0xbb, 0xbf];
    let source_name = || source_name.to_owned();
    if bytes.len() > LARGEST_BYTES {
        return Err(FeedError::TooLarge { source_name: source_name(), bytes: bytes.len(), limit: LARGEST_BYTES });
    }
    if bytes.starts_with(&GZIP) {
        return Err(FeedError::Compressed { source_name: source_name() });
    }
    Ok(String::from_utf8_lossy(bytes.strip_prefix(&BYTE_ORDER_MARK).unwrap_or(bytes)))
}
