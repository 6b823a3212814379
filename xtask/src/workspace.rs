use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result};
use cargo_metadata::{CargoOpt, Metadata, MetadataCommand};

/// The folder that holds the root Cargo.toml.
pub(crate) fn root() -> Result<PathBuf> {
    // cargo sets this for the process it runs; baking it in at compile time would break a moved checkout
    let here = match std::env::var_os("CARGO_MANIFEST_DIR") {
        Some(manifest) => PathBuf::from(manifest),
        None => std::env::current_dir()?,
    };
    let found = here.ancestors().find(|folder| folder.join("Cargo.lock").is_file());
    found.map(Path::to_path_buf).context("no Cargo.lock above this folder; run cargo xtask inside the repository")
}

/// `cargo` in the root folder.
pub(crate) fn cargo(arguments: &[&str]) -> Result<Command> {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.current_dir(root()?).args(arguments);
    Ok(command)
}

/// `cargo` over the whole workspace with every feature: tests, examples and the program they run share one build, and what
/// is off by default for its weight cannot rot.
pub(crate) fn tested(arguments: &[&str]) -> Result<Command> {
    let mut command = cargo(arguments)?;
    command.args(["--workspace", "--all-features"]);
    Ok(command)
}

/// What cargo knows about the workspace and everything it depends on.
pub(crate) fn metadata() -> Result<Metadata> {
    MetadataCommand::new().current_dir(root()?).exec().context("cargo metadata failed")
}

/// The same with every feature of ours, and so with everything that any build may bring in.
pub(crate) fn metadata_of_all_features() -> Result<Metadata> {
    let mut command = MetadataCommand::new();
    command.current_dir(root()?).features(CargoOpt::AllFeatures).exec().context("cargo metadata failed")
}

/// Where cargo puts what it builds.
pub(crate) fn target() -> Result<PathBuf> {
    let metadata = MetadataCommand::new().current_dir(root()?).no_deps().exec().context("cargo metadata failed")?;
    Ok(metadata.target_directory.into_std_path_buf())
}
