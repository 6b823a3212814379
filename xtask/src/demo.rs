use std::process::Command;

use anyhow::Result;

use crate::{step, web, workspace};

/// Builds the pages, then the program around them, then runs its demo.
pub(crate) fn run(extra: &[String]) -> Result<()> {
    web::build()?;
    step::run("program", &mut workspace::cargo(&["build", "--release", "--package", "quietarc"])?)?;
    let program = workspace::target()?.join("release").join(format!("quietarc{}", std::env::consts::EXE_SUFFIX));
    step::run("demo", Command::new(program).arg("demo").args(extra).current_dir(workspace::root()?))
}
