use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};

use crate::{step, workspace};

/// Where the tables go: what the check says, and what the sort says.
const TABLE: &str = "docs/real-frames.md";
const SORT_TABLE: &str = "docs/real-sort.md";

/// Looks at every real picture of a folder and writes what the check and the sort say of it.
pub(crate) fn run(folder: Option<&Path>) -> Result<()> {
    let root = workspace::root()?;
    let folder = folder.map_or_else(|| root.join("../shared/frames"), Path::to_path_buf);
    let folder: PathBuf = folder
        .canonicalize()
        .with_context(|| format!("there is no folder {}; name the one with the pictures", folder.display()))?;
    let checked = written(&folder, "real_frames_are_told", "QUIETARC_REAL_FRAMES_TABLE", &root.join(TABLE));
    let sorted = written(&folder, "what_a_person_would_show", "QUIETARC_REAL_SORT_TABLE", &root.join(SORT_TABLE));
    checked.and(sorted)
}

/// Runs the test that writes a table; its floors may fail with the table written.
fn written(folder: &Path, test: &str, variable: &str, table: &Path) -> Result<()> {
    let before = std::fs::metadata(table).and_then(|found| found.modified()).ok();
    let mut cargo = workspace::tested(&["test", "-q", "--test", "it", test])?;
    cargo.env("QUIETARC_FRAMES", folder).env(variable, table);
    let outcome = step::run("real frames", cargo.args(["--", "--nocapture"]));
    let after = std::fs::metadata(table).and_then(|found| found.modified()).ok();
    if after == before {
        bail!("no table was written: there are no known pictures in {}", folder.display());
    }
    outcome
}
