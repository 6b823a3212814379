//! A folder watched for new pictures, as a camera or a card reader fills it.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::Duration;

use crate::failure::{Failure, Outcome};
use crate::output;

/// How often the folder is looked at.
const EVERY: Duration = Duration::from_secs(2);

/// Size of a file at the last look, and whether it was handed on.
struct Known {
    bytes: u64,
    done: bool,
}

/// Hands on each picture that appears, once it has stopped growing. Pictures that are there already are left alone.
/// Runs until the program is stopped.
///
/// # Errors
///
/// The folder cannot be read when the watch begins, or what is done with a picture fails. A folder that cannot be read for
/// a while later (a card taken out, a cable that slips) is said once and looked at again.
pub(crate) fn folder(folder: &Path, mut each: impl FnMut(&Path) -> Result<(), Failure>) -> Result<Outcome, Failure> {
    let mut known: BTreeMap<PathBuf, Known> =
        pictures(folder)?.into_iter().map(|(path, bytes)| (path, Known { bytes, done: true })).collect();
    output::note(&format!("watching {}; Ctrl-C stops", folder.display()));
    let mut is_away = false;
    loop {
        std::thread::sleep(EVERY);
        let now = match pictures(folder) {
            Ok(now) => now,
            Err(failure) => {
                if !is_away {
                    output::note(&format!("{}; {}; looking again until it can be read", failure.message, failure.hint));
                }
                is_away = true;
                continue;
            }
        };
        if is_away {
            output::note(&format!("{} can be read again", folder.display()));
            is_away = false;
        }
        for path in settled(&mut known, now) {
            each(&path)?;
        }
    }
}

/// Pictures that are new and have the size they had at the last look.
fn settled(known: &mut BTreeMap<PathBuf, Known>, now: Vec<(PathBuf, u64)>) -> Vec<PathBuf> {
    let mut ready = Vec::new();
    for (path, bytes) in now {
        match known.get_mut(&path) {
            Some(seen) if seen.done => {}
            Some(seen) if seen.bytes == bytes && bytes > 0 => {
                seen.done = true;
                ready.push(path);
            }
            Some(seen) => seen.bytes = bytes,
            None => {
                known.insert(path, Known { bytes, done: false });
            }
        }
    }
    ready
}

fn pictures(folder: &Path) -> Result<Vec<(PathBuf, u64)>, Failure> {
    let fault = |error: std::io::Error| {
        Failure::new(format!("{} cannot be read: {error}", folder.display()), "give a folder you can read")
    };
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(fault)? {
        let path = entry.map_err(fault)?.path();
        // a file may go between the list and the look
        if let Ok(about) = path.metadata()
            && about.is_file()
            && has_picture_name(&path)
        {
            found.push((path, about.len()));
        }
    }
    found.sort();
    Ok(found)
}

/// Whether a file is looked at, by its name.
pub(crate) fn has_picture_name(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default();
    // what systems leave beside pictures on foreign disks
    let is_shadow = name.as_encoded_bytes().starts_with(b"._");
    !is_shadow && job::is_picture_name(&name.to_string_lossy())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pictures_of_every_maker_are_looked_at() {
        for name in ["a.NRW", "a.srf", "a.sr2", "a.SRW", "a.3fr", "b/a.HIF", "a.pgm.gz", "a.fits.GZ", "a.jpg", "a.gif"]
        {
            assert!(has_picture_name(Path::new(name)), "{name}");
        }
        for name in ["._a.jpg", "a.xmp", "a.txt.gz", "a.gz", ".jpg", "jpg", "a.jpg/notes", "a.jpg.quietarc-part"] {
            assert!(!has_picture_name(Path::new(name)), "{name}");
        }
    }

    #[test]
    fn a_picture_is_handed_on_once_and_only_when_it_has_stopped_growing() {
        let mut known = BTreeMap::from([(PathBuf::from("old.jpg"), Known { bytes: 5, done: true })]);
        let look = |bytes: u64| vec![(PathBuf::from("new.jpg"), bytes), (PathBuf::from("old.jpg"), 5)];
        let mut ready = Vec::new();
        for bytes in [0, 0, 10, 20, 20, 20] {
            ready.push(settled(&mut known, look(bytes)).len());
        }
        assert_eq!(ready, [0, 0, 0, 0, 1, 0]);
    }
}
