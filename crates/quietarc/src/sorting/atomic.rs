//! A small file written whole or not at all.

use std::ffi::OsString;
use std::fs::{File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Ending of what is being written; such a file is a leftover once nobody writes.
const UNFINISHED: &str = ".quietarc-part";

/// Name under which a file is written until it is whole: hidden, in the same folder.
fn unfinished(path: &Path) -> PathBuf {
    let mut name = OsString::from(".");
    name.push(path.file_name().unwrap_or_default());
    name.push(UNFINISHED);
    path.with_file_name(name)
}

/// Removes what a run that was stopped left behind.
pub(crate) fn clear(path: &Path) -> io::Result<()> {
    let part = unfinished(path);
    // a disk that may only be read refuses to remove even what is not there
    if part.symlink_metadata().is_err() {
        return Ok(());
    }
    match std::fs::remove_file(part) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error),
        _gone => Ok(()),
    }
}

/// Puts a file in the place of what is there, whole: written beside it, on the disk, then renamed.
///
/// * `like`: file whose rights and time of change it gets.
pub(crate) fn write(path: &Path, bytes: &[u8], like: Option<&Path>, keep_time: bool) -> io::Result<()> {
    let part = unfinished(path);
    clear(path)?;
    let written = write_part(&part, bytes, like, keep_time).and_then(|()| std::fs::rename(&part, path));
    if let Err(error) = written {
        // the first error is the one to tell
        let _left = std::fs::remove_file(&part);
        return Err(error);
    }
    sync_folder(path)
}

fn write_part(part: &Path, bytes: &[u8], like: Option<&Path>, keep_time: bool) -> io::Result<()> {
    let mut file = OpenOptions::new().write(true).create_new(true).open(part)?;
    file.write_all(bytes)?;
    if let Some(about) = like.and_then(|like| std::fs::metadata(like).ok()) {
        // disks without rights refuse to set them
        let _as_far_as_it_goes = file.set_permissions(about.permissions());
        if keep_time && let Ok(modified) = about.modified() {
            let _as_far_as_it_goes = file.set_modified(modified);
        }
    }
    file.sync_all()
}

/// A rename is on the disk once its folder is; not every system lets a folder be opened.
fn sync_folder(path: &Path) -> io::Result<()> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    match File::open(folder) {
        Ok(folder) => folder.sync_all().or(Ok(())),
        Err(_not_here) => Ok(()),
    }
}
