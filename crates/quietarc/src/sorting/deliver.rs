//! Keepers copied or linked into a folder of their own; nothing there is ever overwritten.

use std::path::{Path, PathBuf};

use super::found::{Fault, FoundFile};
use super::{atomic, content};
use crate::failure::Failure;

/// How keepers get into the folder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Delivery {
    /// As copies.
    Copy,
    /// As second names of the same files.
    Link,
}

/// What became of the keepers.
#[derive(Debug, Default)]
pub(crate) struct Delivered {
    pub(crate) files: usize,
    /// Lay there already.
    pub(crate) already: usize,
    pub(crate) faults: Vec<Fault>,
}

/// Letters of the hash that tell two files of one name apart.
const MARK: usize = 8;

/// Copies or links the files of frames into a folder, sidecars along.
///
/// # Errors
///
/// The folder cannot be made, or lies within the sorted one, where the next sort would find the copies.
pub(crate) fn deliver(
    how: Delivery,
    frames: &[(&[FoundFile], PathBuf)],
    from: &Path,
    into: &Path,
) -> Result<Delivered, Failure> {
    let fault = |error: std::io::Error| {
        Failure::new(format!("the folder {} cannot be made: {error}", into.display()), "give a folder you can write to")
    };
    let was_there = into.exists();
    std::fs::create_dir_all(into).map_err(fault)?;
    let (inner, outer) = (into.canonicalize().map_err(fault)?, from.canonicalize().map_err(fault)?);
    if inner.starts_with(&outer) {
        if !was_there {
            // empty as it was made; the refusal is what counts
            let _left = std::fs::remove_dir(into);
        }
        return Err(Failure::new(
            format!("{} lies within the folder that is sorted", into.display()),
            "give a folder outside of it, or the next sort finds every keeper twice",
        ));
    }
    let mut delivered = Delivered::default();
    for (files, sidecar) in frames {
        for file in *files {
            one(how, &file.path, &file.name, &inner, &mut delivered);
        }
        if sidecar.is_file() {
            let name = sidecar.file_name().unwrap_or_default().to_string_lossy();
            // a sidecar is edited afterwards: a second name would be edited along
            one(Delivery::Copy, sidecar, &name, &inner, &mut delivered);
        }
    }
    Ok(delivered)
}

fn one(how: Delivery, path: &Path, name: &str, into: &Path, delivered: &mut Delivered) {
    let fault = |problem: String, remedy: &str| Fault::new(name, problem, remedy);
    let content = match content::read(path) {
        Ok(content) => content,
        Err(error) => {
            let (problem, remedy) = error.words();
            delivered.faults.push(fault(format!("is not kept: it {problem}"), remedy));
            return;
        }
    };
    let wanted = match free_place(path, &content.hash, into) {
        Place::Free(wanted) => wanted,
        Place::Taken => {
            delivered.already += 1;
            return;
        }
    };
    let done = match how {
        Delivery::Copy => atomic::write(&wanted, &content.bytes, Some(path), true),
        Delivery::Link => std::fs::hard_link(path, &wanted),
    };
    match done {
        Ok(()) => delivered.files += 1,
        Err(error) if how == Delivery::Link => {
            delivered.faults.push(fault(format!("cannot be linked: {error}"), "use --copy-to: links stay on one disk"));
        }
        Err(error) => {
            delivered.faults.push(fault(format!("cannot be copied: {error}"), "free some space there"));
        }
    }
}

enum Place {
    Free(PathBuf),
    /// The same content lies there already.
    Taken,
}

/// The file's own name, or that name with a mark of its content where another file has it.
fn free_place(path: &Path, hash: &str, into: &Path) -> Place {
    let name = path.file_name().unwrap_or_default();
    let plain = into.join(name);
    let mut marked = path.file_stem().unwrap_or_default().to_owned();
    marked.push(format!("-{}", hash.get(..MARK).unwrap_or_default()));
    if let Some(ending) = path.extension() {
        marked.push(".");
        marked.push(ending);
    }
    for place in [plain, into.join(&marked)] {
        match std::fs::symlink_metadata(&place) {
            Err(_free) => return Place::Free(place),
            Ok(_taken) if content::read(&place).is_ok_and(|content| content.hash == hash) => return Place::Taken,
            Ok(_other) => {}
        }
    }
    // the same mark and another content: the whole hash tells them apart
    let mut whole = path.file_stem().unwrap_or_default().to_owned();
    whole.push(format!("-{hash}"));
    if let Some(ending) = path.extension() {
        whole.push(".");
        whole.push(ending);
    }
    let place = into.join(whole);
    if place.symlink_metadata().is_ok() { Place::Taken } else { Place::Free(place) }
}
