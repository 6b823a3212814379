//! Which folders of this machine a page may have sorted and shown.

use std::path::{Path, PathBuf};

use super::Reach;
use crate::Failure;
use crate::sorting::real_folder;

/// Folders offered to pick from, the newest first.
const MOST_OFFERED: usize = 50;

/// The folders whose frames may be looked at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum FrameFolders {
    /// Whatever this account can read: whoever asks sits at this machine.
    Any,
    /// These and what lies in them, without links in their paths.
    Below(Vec<PathBuf>),
}

impl FrameFolders {
    /// Folders given are the only ones; a shared server without any has none.
    ///
    /// # Errors
    ///
    /// A folder that is not there.
    pub(crate) fn new(reach: Reach, given: &[PathBuf]) -> Result<Self, Failure> {
        if given.is_empty() && reach == Reach::ThisMachine {
            return Ok(Self::Any);
        }
        Ok(Self::Below(given.iter().map(|folder| real_folder(folder)).collect::<Result<_, _>>()?))
    }

    /// Whether a folder may be sorted.
    ///
    /// * `folder`: without links in its path, so that no link leads out.
    ///
    /// # Errors
    ///
    /// It lies outside.
    pub(super) fn admit(&self, folder: &Path) -> Result<(), Failure> {
        let hint = match self {
            Self::Any => return Ok(()),
            Self::Below(roots) if roots.iter().any(|root| folder.starts_with(root)) => return Ok(()),
            Self::Below(roots) if roots.is_empty() => {
                "a shared server sorts only folders it was started with: start it with --frames FOLDER".to_owned()
            }
            Self::Below(roots) => {
                let names: Vec<String> = roots.iter().map(|root| root.display().to_string()).collect();
                format!("give a folder in {}, or start the server with --frames FOLDER", names.join(" or "))
            }
        };
        Err(Failure {
            field: Some("folder".to_owned()),
            ..Failure::new(format!("the folder {} is none of those that may be sorted here", folder.display()), hint)
        })
    }

    /// Folders to pick from: those given and the folders in them, the newest first.
    pub(super) fn offered(&self) -> Vec<String> {
        let Self::Below(roots) = self else { return Vec::new() };
        let mut found: Vec<(std::time::SystemTime, PathBuf)> = Vec::new();
        for root in roots {
            let inside = std::fs::read_dir(root).into_iter().flatten().filter_map(Result::ok).map(|entry| entry.path());
            for folder in std::iter::once(root.clone()).chain(inside) {
                if let Ok(about) = std::fs::symlink_metadata(&folder)
                    && about.is_dir()
                {
                    found.push((about.modified().unwrap_or(std::time::UNIX_EPOCH), folder));
                }
            }
        }
        found.sort_by(|a, b| b.cmp(a));
        found.into_iter().take(MOST_OFFERED).map(|(_at, folder)| folder.display().to_string()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shared_server_shows_only_what_it_was_started_with() {
        let root = tempfile::tempdir().unwrap();
        let root = root.path().canonicalize().unwrap();
        std::fs::create_dir_all(root.join("nights/one")).unwrap();
        std::fs::create_dir(root.join("nights-of-others")).unwrap();
        let folders = FrameFolders::new(Reach::LocalNetwork, &[root.join("nights")]).unwrap();
        assert!(folders.admit(&root.join("nights")).is_ok() && folders.admit(&root.join("nights/one")).is_ok());
        for outside in [root.clone(), root.join("nights-of-others")] {
            let refusal = folders.admit(&outside).unwrap_err();
            assert!(refusal.hint.contains("--frames"), "{refusal:?}");
        }
        assert_eq!(folders.offered().len(), 2);
        let none = FrameFolders::new(Reach::LocalNetwork, &[]).unwrap();
        assert!(none.admit(&root.join("nights")).is_err());
        assert_eq!(FrameFolders::new(Reach::ThisMachine, &[]).unwrap(), FrameFolders::Any);
    }
}
