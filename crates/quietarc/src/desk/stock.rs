//! Where pictures lie: originals by their hash, never altered; small copies beside them.

use std::fs;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

use crate::Failure;
use crate::sorting::{content_hash, write_atomic};

/// The folders beside a journal.
#[derive(Debug, Clone)]
pub(crate) struct Stock {
    root: PathBuf,
}

/// A copy made of a picture for looking at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum StockedCopy {
    /// For the list.
    Small,
    /// For the desk's eyes.
    View,
}

impl Stock {
    /// The stock of a journal: the folder `submissions` beside it.
    pub(crate) fn beside(journal: &Path) -> Self {
        Self { root: journal.parent().unwrap_or(Path::new("")).join("submissions") }
    }

    /// Keeps a picture's bytes, read-only, under their hash; what is there already stays.
    pub(crate) fn keep(&self, bytes: &[u8]) -> Result<String, Failure> {
        let hash = content_hash(bytes);
        let path = self.original(&hash);
        if !path.is_file() {
            put(&path, bytes).and_then(|()| make_read_only(&path)).map_err(|error| fault(&path, &error))?;
        }
        Ok(hash)
    }

    /// Keeps a copy for looking at.
    pub(crate) fn keep_copy(&self, hash: &str, which: StockedCopy, jpeg: &[u8]) -> Result<(), Failure> {
        let path = self.copy(hash, which);
        put(&path, jpeg).map_err(|error| fault(&path, &error))
    }

    /// Where the original lies. The hash is one of ours: letters and digits alone.
    pub(crate) fn original(&self, hash: &str) -> PathBuf {
        self.root.join("originals").join(hash.get(..2).unwrap_or("00")).join(hash)
    }

    /// Where a copy lies.
    pub(crate) fn copy(&self, hash: &str, which: StockedCopy) -> PathBuf {
        let ending = match which {
            StockedCopy::Small => "small.jpg",
            StockedCopy::View => "view.jpg",
        };
        self.root.join("copies").join(hash.get(..2).unwrap_or("00")).join(format!("{hash}.{ending}"))
    }

    /// Where copies for use go by default.
    pub(crate) fn exports(&self) -> PathBuf {
        self.root.join("exports")
    }

    /// Removes a picture and its copies.
    pub(crate) fn erase(&self, hash: &str) -> Result<(), Failure> {
        remove(&[self.original(hash), self.copy(hash, StockedCopy::Small), self.copy(hash, StockedCopy::View)])
    }

    /// Removes a copy for use and the text beside it, where it lies in the default folder; elsewhere the desk has no say.
    pub(crate) fn erase_export(&self, copy: &Path) -> Result<(), Failure> {
        // a way that leads out again is no place of the desk's own
        let leads_out = copy.components().any(|part| part == std::path::Component::ParentDir);
        let is_within = std::path::absolute(copy)
            .and_then(|copy| Ok(copy.starts_with(std::path::absolute(self.exports())?)))
            .map_err(|error| fault(copy, &error))?;
        if is_within && !leads_out { remove(&[copy.to_owned(), copy.with_extension("txt")]) } else { Ok(()) }
    }
}

fn remove(paths: &[PathBuf]) -> Result<(), Failure> {
    for path in paths {
        match fs::remove_file(path) {
            Err(error) if error.kind() != ErrorKind::NotFound => return Err(fault(path, &error)),
            _gone => {}
        }
    }
    Ok(())
}

fn put(path: &Path, bytes: &[u8]) -> io::Result<()> {
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder)?;
    }
    write_atomic(path, bytes, None, false)
}

fn make_read_only(path: &Path) -> io::Result<()> {
    let mut permissions = fs::metadata(path)?.permissions();
    permissions.set_readonly(true);
    fs::set_permissions(path, permissions)
}

fn fault(path: &Path, error: &io::Error) -> Failure {
    Failure::new(
        format!("{} cannot be kept: {error}", path.display()),
        "free some space, or give --journal in a folder you can write to",
    )
}
