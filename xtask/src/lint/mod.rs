//! Checks of the repository, cheapest first.

mod edges;
mod hygiene;
mod licences;
mod pages;
mod purity;
mod spdx;

use anyhow::{Result, bail};

use crate::{say, step, types, workspace};

struct Check {
    name: &'static str,
    run: fn() -> Result<()>,
}

const CHECKS: [Check; 8] = [
    Check { name: "format", run: format },
    Check { name: "edges", run: edges::check },
    Check { name: "purity", run: purity::check },
    Check { name: "hygiene", run: hygiene::check },
    Check { name: "licences", run: licences::check },
    Check { name: "pages", run: pages::check },
    Check { name: "generated", run: types::check },
    Check { name: "clippy", run: clippy },
];

/// Prints the names of the checks.
#[expect(clippy::unnecessary_wraps, reason = "every chore has the same shape")]
pub(crate) fn list() -> Result<()> {
    for check in &CHECKS {
        say::line(check.name);
    }
    Ok(())
}

/// Runs all checks, or one; all failures are shown before the end.
pub(crate) fn run(only: Option<&str>) -> Result<()> {
    if let Some(name) = only
        && !CHECKS.iter().any(|check| check.name == name)
    {
        bail!("no check is called {name}; `cargo xtask lint --list` shows them");
    }
    let chosen = CHECKS.iter().filter(|check| only.is_none_or(|name| name == check.name));
    let mut failed = Vec::new();
    for check in chosen {
        say::step(&format!("lint: {}", check.name));
        if let Err(error) = (check.run)() {
            say::problem(&format!("{error:#}"));
            failed.push(check.name);
        }
    }
    if failed.is_empty() {
        say::line("lint: all well");
        return Ok(());
    }
    bail!("lint failed: {}", failed.join(", "))
}

fn format() -> Result<()> {
    step::run("cargo fmt", &mut workspace::cargo(&["fmt", "--all", "--check"])?)
}

fn clippy() -> Result<()> {
    let arguments = ["clippy", "--workspace", "--all-targets", "--", "-D", "warnings"];
    step::run("cargo clippy", &mut workspace::cargo(&arguments)?)
}
