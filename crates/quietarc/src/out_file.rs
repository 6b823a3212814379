//! Files that a command makes: whole or not at all, and never one of those it reads.

use std::path::Path;

use crate::failure::Failure;
use crate::sorting::atomic;

/// Refuses to make a file where one of the files that are read lies, whatever name leads there.
///
/// # Errors
///
/// The file to be made is one of them.
pub(crate) fn is_no_input<'a>(out: &Path, inputs: impl IntoIterator<Item = &'a Path>) -> Result<(), Failure> {
    // what is not there yet is no input
    let Ok(made) = out.canonicalize() else { return Ok(()) };
    if inputs.into_iter().any(|input| is_same(&made, input)) {
        return Err(Failure::new(
            format!("{} is one of the files that are read, and those are never written", out.display()),
            "give another name",
        ));
    }
    Ok(())
}

fn is_same(made: &Path, input: &Path) -> bool {
    input.canonicalize().is_ok_and(|input| input == made) || is_same_content(made, input)
}

/// Two names of one file: a hard link.
#[cfg(unix)]
fn is_same_content(made: &Path, input: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let number = |path: &Path| path.metadata().map(|about| (about.dev(), about.ino()));
    matches!((number(made), number(input)), (Ok(made), Ok(input)) if made == input)
}

#[cfg(not(unix))]
fn is_same_content(_made: &Path, _input: &Path) -> bool {
    false
}

/// Refuses to make files that are there already, unless they may be replaced.
///
/// # Errors
///
/// One of them is there.
pub(crate) fn is_free(made: &[&Path], may_replace: bool) -> Result<(), Failure> {
    match made.iter().find(|path| !may_replace && path.exists()) {
        None => Ok(()),
        Some(there) => Err(Failure::new(
            format!("{} is there already", there.display()),
            "give another name with --out, or --replace",
        )),
    }
}

/// Writes a file, whole or not at all; a pipe or a terminal is written as it comes.
///
/// # Errors
///
/// A folder that cannot be written, a full disk.
pub(crate) fn write(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let is_special = path.metadata().is_ok_and(|about| !about.is_file());
    let written = if is_special { std::fs::write(path, bytes) } else { atomic::write(path, bytes, None, false) };
    written.map_err(|error| {
        Failure::new(
            format!("{} cannot be written: {error}", path.display()),
            "give a path in a folder you can write to, with room on its disk",
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_read_is_not_made_under_any_name() {
        let folder = tempfile::tempdir().unwrap();
        let read = folder.path().join("IMG_1.JPG");
        std::fs::write(&read, b"picture").unwrap();
        let inputs = || [read.as_path()];
        assert!(is_no_input(&read, inputs()).is_err());
        assert!(is_no_input(&folder.path().join(".").join("IMG_1.JPG"), inputs()).is_err());
        assert!(is_no_input(&folder.path().join("IMG_2.JPG"), inputs()).is_ok());
        let other = folder.path().join("other.JPG");
        std::fs::write(&other, b"picture").unwrap();
        assert!(is_no_input(&other, inputs()).is_ok());
        #[cfg(unix)]
        {
            let link = folder.path().join("link.JPG");
            std::fs::hard_link(&read, &link).unwrap();
            assert!(is_no_input(&link, inputs()).is_err());
            let link = folder.path().join("soft.JPG");
            std::os::unix::fs::symlink(&read, &link).unwrap();
            assert!(is_no_input(&link, inputs()).is_err());
        }
    }

    #[test]
    fn a_file_is_whole_or_not_there() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("still.png");
        write(&path, b"first").unwrap();
        write(&path, b"second").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"second");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
        let error = write(&folder.path().join("nowhere").join("still.png"), b"lost").unwrap_err();
        assert!(error.message.contains("still.png cannot be written"), "{}", error.message);
    }
}
