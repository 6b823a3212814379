use std::io::Read;

use flate2::read::MultiGzDecoder;

use crate::{FrameError, Limits};

/// Unpacks a file packed by gzip, as observatories hand FITS and PGM out; any other file is `None`.
///
/// # Errors
///
/// More inside than the limits let in, or a broken file.
pub(crate) fn unpacked(bytes: &[u8], limits: &Limits) -> Result<Option<Vec<u8>>, FrameError> {
    if !bytes.starts_with(b"\x1f\x8b\x08") {
        return Ok(None);
    }
    let mut inside = Vec::new();
    // one byte more than is let in, so that too much can be told from just enough
    let mut source = MultiGzDecoder::new(bytes).take(limits.most_bytes.saturating_add(1));
    source.read_to_end(&mut inside).map_err(|cause| FrameError::Unsupported {
        what: format!("this file packed by gzip ({cause})"),
        remedy: "unpack it first",
    })?;
    limits.judge_file(&inside)?;
    Ok(Some(inside))
}
