//! A picture's bytes, from a file that is never written.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use crate::Failure;

/// Reads a picture whole, if it is not too large to look at. The file is opened to be read and closed again.
///
/// # Errors
///
/// It is not there, no file, or larger than a picture may be.
pub(crate) fn read(path: &Path) -> Result<Vec<u8>, Failure> {
    let fault = |error: std::io::Error| {
        Failure::new(format!("it cannot be opened: {error}"), "give the path of a readable picture")
    };
    let file = File::open(path).map_err(fault)?;
    let about = file.metadata().map_err(fault)?;
    if !about.is_file() {
        return Err(Failure::new("it is no file", "give the path of a picture"));
    }
    let most = job::largest_frame_bytes();
    let too_large = |bytes: u64| {
        Failure::new(
            format!("it has {} MB, and {} MB is the most that is read", bytes / 1_000_000, most / 1_000_000),
            "export a smaller copy of the picture",
        )
    };
    if about.len() > most {
        return Err(too_large(about.len()));
    }
    let mut bytes = Vec::new();
    // the file may grow while it is read
    file.take(most + 1).read_to_end(&mut bytes).map_err(fault)?;
    if bytes.len() as u64 > most { Err(too_large(bytes.len() as u64)) } else { Ok(bytes) }
}
