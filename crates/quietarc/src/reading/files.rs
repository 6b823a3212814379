//! Which files a sequence is made of.

use std::path::{Path, PathBuf};

use super::video;
use crate::failure::Failure;
use crate::sorting::pictures_below;

/// Packed files are taken into a sequence where their inner ending is one of these.
const PACKED: [&str; 4] = [".pgm.gz", ".fits.gz", ".fit.gz", ".ppm.gz"];

/// The pictures named, and those of the folders named, in the order of their names.
///
/// # Errors
///
/// A folder that cannot be read; no picture at all.
pub(super) fn pictures(inputs: &[PathBuf]) -> Result<Vec<PathBuf>, Failure> {
    let mut found = Vec::new();
    for input in inputs {
        if input.is_dir() {
            found.extend(pictures_below(input)?.files.into_iter().map(|file| file.path));
            found.extend(packed(input)?);
        } else if input.is_file() {
            found.push(input.clone());
        } else {
            return Err(Failure::new(
                format!("{} is not there", input.display()),
                "give a folder of pictures, a file of a sequence, or a video",
            ));
        }
    }
    found.sort();
    found.dedup();
    if found.is_empty() {
        return Err(Failure::new("there is no picture to read", "give a folder that holds the frames of a sequence"));
    }
    Ok(found)
}

/// Videos that lie in the folders named: they are sequences of their own, and not read among pictures.
pub(super) fn videos(inputs: &[PathBuf]) -> Vec<PathBuf> {
    let entries = inputs.iter().filter_map(|input| std::fs::read_dir(input).ok()).flatten().flatten();
    let mut found: Vec<PathBuf> = entries.map(|entry| entry.path()).filter(|path| video::is_video(path)).collect();
    found.sort();
    found
}

fn packed(folder: &Path) -> Result<Vec<PathBuf>, Failure> {
    let fault = |error: std::io::Error| {
        Failure::new(format!("{} cannot be read: {error}", folder.display()), "give a folder you can read")
    };
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(fault)? {
        let path = entry.map_err(fault)?.path();
        let name = path.to_string_lossy().to_ascii_lowercase();
        if PACKED.iter().any(|ending| name.ends_with(ending)) {
            found.push(path);
        }
    }
    Ok(found)
}
