//! The pictures below a folder, by name; links are followed once.

use std::collections::{BTreeSet, HashSet};
use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

use crate::failure::Failure;
use crate::watch::has_picture_name;

/// Folders within folders that are looked into: deeper is a mistake of somebody's program.
const DEEPEST: usize = 64;

/// Something that could not be read, written or understood; the batch goes on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Fault {
    /// Which file or folder.
    pub(crate) name: String,
    /// What is wrong with it.
    pub(crate) problem: String,
    /// What to do about it.
    pub(crate) remedy: String,
}

impl Fault {
    pub(crate) fn new(name: impl Into<String>, problem: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { name: name.into(), problem: problem.into(), remedy: remedy.into() }
    }

    /// In one line, whatever stands in the name.
    pub(crate) fn line(&self) -> String {
        format!("{}: {} (hint: {})", one_line(&self.name), one_line(&self.problem), one_line(&self.remedy))
    }
}

/// A text without line breaks and control characters, for a terminal.
pub(crate) fn one_line(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        if letter.is_control() {
            out.extend(letter.escape_default());
        } else {
            out.push(letter);
        }
    }
    out
}

/// What tells a file from a changed one without reading it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Stamp {
    pub(crate) bytes: u64,
    /// ns since 1970.
    pub(crate) modified_ns: i64,
    /// 0 where the system has none.
    pub(crate) inode: u64,
}

impl Stamp {
    pub(crate) fn of(about: &std::fs::Metadata) -> Self {
        let modified = about.modified().ok().and_then(|at| at.duration_since(UNIX_EPOCH).ok());
        let modified_ns = modified.and_then(|at| i64::try_from(at.as_nanos()).ok()).unwrap_or_default();
        Self { bytes: about.len(), modified_ns, inode: identity(about).1 }
    }
}

/// Disk and number of a file.
#[cfg(unix)]
fn identity(about: &std::fs::Metadata) -> (u64, u64) {
    use std::os::unix::fs::MetadataExt;
    (about.dev(), about.ino())
}

/// Disk and number of a file.
#[cfg(not(unix))]
fn identity(_about: &std::fs::Metadata) -> (u64, u64) {
    (0, 0)
}

/// A picture by its name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct FoundFile {
    /// Where it is.
    pub(crate) path: PathBuf,
    /// Path below the folder with `/` between its parts; what is no text stands as `\xNN`. No two are the same.
    pub(crate) name: String,
    pub(crate) stamp: Stamp,
}

/// What lies below a folder.
#[derive(Debug, Default)]
pub(crate) struct Found {
    pub(crate) files: Vec<FoundFile>,
    /// Files that are no pictures by their names.
    pub(crate) others: usize,
    pub(crate) faults: Vec<Fault>,
}

/// Finds the pictures below a folder, in the order of their paths.
///
/// # Errors
///
/// The folder itself cannot be read.
pub(crate) fn pictures(folder: &Path) -> Result<Found, Failure> {
    let fault = |error: std::io::Error| {
        Failure::new(format!("{} cannot be read: {error}", folder.display()), "give a folder you can read")
    };
    let about = std::fs::metadata(folder).map_err(fault)?;
    if !about.is_dir() {
        return Err(Failure::new(
            format!("{} is no folder", folder.display()),
            "give the folder of the night's frames",
        ));
    }
    std::fs::read_dir(folder).map_err(fault)?;
    let mut walk = Walk { root: folder.to_owned(), found: Found::default(), entered: HashSet::new() };
    walk.folder(folder, &about, 0);
    let mut found = walk.found;
    found.files.sort_by(|a, b| a.path.cmp(&b.path));
    make_unique(&mut found.files);
    Ok(found)
}

struct Walk {
    root: PathBuf,
    found: Found,
    /// Folders that were entered, by disk and number.
    entered: HashSet<(u64, u64)>,
}

impl Walk {
    fn folder(&mut self, folder: &Path, about: &std::fs::Metadata, depth: usize) {
        let identity = identity(about);
        if identity != (0, 0) && !self.entered.insert(identity) {
            self.fault(folder, "leads back to a folder that is looked into already", "nothing: it is passed over");
            return;
        }
        if depth > DEEPEST {
            self.fault(folder, format!("lies more than {DEEPEST} folders deep"), "give a folder nearer to the frames");
            return;
        }
        let entries = match std::fs::read_dir(folder) {
            Ok(entries) => entries,
            Err(error) => {
                self.fault(folder, format!("cannot be read: {error}"), "allow reading it, or leave it");
                return;
            }
        };
        for entry in entries {
            match entry {
                Ok(entry) => self.entry(&entry.path(), depth),
                Err(error) => self.fault(folder, format!("cannot be listed whole: {error}"), "look at the disk"),
            }
        }
    }

    fn entry(&mut self, path: &Path, depth: usize) {
        // links are followed: what they lead to counts
        let about = match std::fs::metadata(path) {
            Ok(about) => about,
            Err(error) if has_picture_name(path) => {
                self.fault(path, format!("cannot be looked at: {error}"), "copy it from the card again");
                return;
            }
            // it may have been meant for a folder of frames
            Err(error) if is_plain_link(path) => {
                self.fault(path, format!("is a link that cannot be followed: {error}"), "mend it, or remove it");
                return;
            }
            Err(_gone) => return,
        };
        if about.is_dir() {
            self.folder(path, &about, depth + 1);
        } else if about.is_file() && has_picture_name(path) {
            let name = shown(path.strip_prefix(&self.root).unwrap_or(path));
            self.found.files.push(FoundFile { path: path.to_owned(), name, stamp: Stamp::of(&about) });
        } else {
            self.found.others += 1;
        }
    }

    fn fault(&mut self, path: &Path, problem: impl Into<String>, remedy: &str) {
        let name = shown(path.strip_prefix(&self.root).unwrap_or(path));
        self.found.faults.push(Fault::new(if name.is_empty() { ".".to_owned() } else { name }, problem, remedy));
    }
}

/// Whether a path is a link that a person made: programs use hidden ones as locks, which lead nowhere.
fn is_plain_link(path: &Path) -> bool {
    let is_hidden = path.file_name().is_some_and(|name| name.as_encoded_bytes().starts_with(b"."));
    !is_hidden && path.symlink_metadata().is_ok_and(|about| about.is_symlink())
}

/// A path as text: bytes that are no UTF-8 as `\xNN`.
fn shown(path: &Path) -> String {
    let mut out = String::new();
    for (place, part) in path.components().enumerate() {
        if place > 0 {
            out.push('/');
        }
        for chunk in part.as_os_str().as_encoded_bytes().utf8_chunks() {
            out.push_str(chunk.valid());
            for byte in chunk.invalid() {
                // writing to a String cannot fail
                let _written = write!(out, "\\x{byte:02x}");
            }
        }
    }
    out
}

/// Two names that only differ where they are no text get a number.
fn make_unique(files: &mut [FoundFile]) {
    let mut taken = BTreeSet::new();
    for file in files {
        let mut number = 2;
        let plain = file.name.clone();
        while !taken.insert(file.name.clone()) {
            file.name = format!("{plain}#{number}");
            number += 1;
        }
    }
}
