//! A file's content and its hash, read once and proved to be that of one moment.

use std::fmt::Write;
use std::fs::File;
use std::io::Read;
use std::path::Path;

use sha2::{Digest, Sha256};

use super::found::Stamp;

/// A file's content.
pub(crate) struct Content {
    pub(crate) bytes: Vec<u8>,
    /// SHA-256, hexadecimal.
    pub(crate) hash: String,
    /// As the file was before and after it was read.
    pub(crate) stamp: Stamp,
}

/// Why a file's content is not known.
#[derive(Debug)]
pub(crate) enum ReadError {
    /// It is gone.
    Gone,
    /// It changed while it was read, twice.
    Changing,
    /// Larger than a picture may be.
    TooLarge { bytes: u64 },
    /// Anything else that the system says.
    Io(std::io::Error),
}

impl ReadError {
    /// What is wrong, and what to do about it.
    pub(crate) fn words(&self) -> (String, &'static str) {
        match self {
            Self::Gone => ("vanished before it could be read".to_owned(), "copy it from the card again"),
            Self::Changing => ("changes while it is read".to_owned(), "wait until it is copied, and sort again"),
            Self::TooLarge { bytes } => (
                format!(
                    "has {} MB, and {} MB is the most that is read",
                    bytes / 1_000_000,
                    job::largest_frame_bytes() / 1_000_000
                ),
                "export a smaller copy of the picture",
            ),
            Self::Io(error) => (format!("cannot be read: {error}"), "allow reading it, or copy it again"),
        }
    }
}

/// Times that a file is read before it is said to change.
const TRIES: usize = 2;

/// Reads a file whole, opened to be read.
pub(crate) fn read(path: &Path) -> Result<Content, ReadError> {
    for _try in 0..TRIES {
        if let Some(content) = once(path)? {
            return Ok(content);
        }
    }
    Err(ReadError::Changing)
}

/// `None` where the file changed meanwhile.
fn once(path: &Path) -> Result<Option<Content>, ReadError> {
    let fault = |error: std::io::Error| match error.kind() {
        std::io::ErrorKind::NotFound => ReadError::Gone,
        _ => ReadError::Io(error),
    };
    let mut file = File::open(path).map_err(fault)?;
    let before = Stamp::of(&file.metadata().map_err(fault)?);
    let most = job::largest_frame_bytes();
    if before.bytes > most {
        return Err(ReadError::TooLarge { bytes: before.bytes });
    }
    let mut bytes = Vec::with_capacity(usize::try_from(before.bytes).unwrap_or_default());
    file.by_ref().take(most + 1).read_to_end(&mut bytes).map_err(fault)?;
    let after = Stamp::of(&file.metadata().map_err(fault)?);
    if before != after || bytes.len() as u64 != before.bytes {
        return Ok(None);
    }
    let hash = hash(&bytes);
    Ok(Some(Content { bytes, hash, stamp: before }))
}

/// The hash of a file's content, read in pieces.
///
/// # Errors
///
/// It cannot be read.
pub(crate) fn hash_of_file(path: &Path) -> std::io::Result<String> {
    /// Large enough that the disk is not waited for at every piece.
    const PIECE: usize = 1 << 20;
    let mut file = File::open(path)?;
    let mut digest = Sha256::new();
    let mut piece = vec![0; PIECE];
    loop {
        let read = file.read(&mut piece)?;
        let Some(held) = piece.get(..read).filter(|held| !held.is_empty()) else { break };
        digest.update(held);
    }
    Ok(hexadecimal(&digest.finalize()))
}

/// SHA-256, hexadecimal.
pub(crate) fn hash(bytes: &[u8]) -> String {
    hexadecimal(&Sha256::digest(bytes))
}

fn hexadecimal(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(2 * bytes.len());
    for byte in bytes {
        // writing to a String cannot fail
        let _written = write!(text, "{byte:02x}");
    }
    text
}
