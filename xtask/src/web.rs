use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::SystemTime;

use anyhow::Result;

use crate::{step, system, workspace};

/// The front end's folder.
pub(crate) fn folder() -> Result<PathBuf> {
    Ok(workspace::root()?.join("web"))
}

/// `npm` in the front end's folder.
pub(crate) fn npm(arguments: &[&str]) -> Result<Command> {
    let mut command = Command::new("npm");
    command.current_dir(folder()?).args(arguments);
    Ok(command)
}

/// Installs exactly what package-lock.json says, unless that has been done.
pub(crate) fn install() -> Result<()> {
    system::need_node()?;
    let folder = folder()?;
    if is_installed(&folder) {
        return Ok(());
    }
    step::run("npm ci", &mut npm(&["ci", "--no-audit", "--no-fund"])?)
}

/// Builds web/dist.
pub(crate) fn build() -> Result<()> {
    install()?;
    step::run("front end", &mut npm(&["run", "build"])?)
}

/// npm writes `.package-lock.json` last, so it is newer than the lock file it was made from.
fn is_installed(folder: &Path) -> bool {
    let asked = modified(&folder.join("package-lock.json"));
    let done = modified(&folder.join("node_modules/.package-lock.json"));
    matches!((asked, done), (Some(asked), Some(done)) if done >= asked)
}

fn modified(path: &Path) -> Option<SystemTime> {
    path.metadata().and_then(|meta| meta.modified()).ok()
}
