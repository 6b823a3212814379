use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};

use crate::{step, workspace};

/// Where the table goes.
const TABLE: &str = "docs/real-frames.md";

/// Looks at every real picture of a folder and writes what the check says of it.
pub(crate) fn run(folder: Option<&Path>) -> Result<()> {
    let root = workspace::root()?;
    let folder = folder.map_or_else(|| root.join("../shared/frames"), Path::to_path_buf);
    let folder: PathBuf = folder
        .canonicalize()
        .with_context(|| format!("there is no folder {}; name the one with the pictures", folder.display()))?;
    let table = root.join(TABLE);
    let before = std::fs::metadata(&table).and_then(|found| found.modified()).ok();
    let mut cargo = workspace::cargo(&["test", "-q", "-p", "quietarc-job", "--test", "it", "real_frames_are_told"])?;
    cargo.env("QUIETARC_FRAMES", &folder).env("QUIETARC_REAL_FRAMES_TABLE", &table);
    let outcome = step::run("real frames", cargo.args(["--", "--nocapture"]));
    let after = std::fs::metadata(&table).and_then(|found| found.modified()).ok();
    if after == before {
        bail!("no table was written: there are no known pictures in {}", folder.display());
    }
    outcome
}
