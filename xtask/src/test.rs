use std::process::Command;

use anyhow::{Result, bail};

use crate::count::Count;
use crate::{say, step, system, web, workspace};

/// Runs every kind of test to its end, then says how many passed and failed.
pub(crate) fn run(no_browser: bool) -> Result<()> {
    web::build()?;
    let mut tally = Tally::default();
    tally.add("pages", &mut web::npm(&["run", "test"])?)?;
    tally.add("rust", &mut rust_tests()?)?;
    tally.add("doc examples", &mut workspace::tested(&["test", "--doc", "--no-fail-fast"])?)?;
    if !no_browser {
        browser(&mut tally)?;
    }
    tally.close()
}

fn rust_tests() -> Result<Command> {
    if system::has("cargo-nextest") {
        workspace::tested(&["nextest", "run", "--no-fail-fast"])
    } else {
        workspace::tested(&["test", "--lib", "--bins", "--tests", "--no-fail-fast"])
    }
}

/// The pages in a real browser, served by the real program.
fn browser(tally: &mut Tally) -> Result<()> {
    let chromium = system::need_chromium()?;
    // the program that the Rust tests have run: built again with other features, all it depends on would be too
    let program = workspace::target()?.join("debug").join(format!("quietarc{}", std::env::consts::EXE_SUFFIX));
    if !program.is_file() {
        step::run("program", &mut workspace::tested(&["build", "--bins"])?)?;
    }
    tally.add("browser", web::npm(&["run", "test:browser"])?.env("QUIETARC_BIN", program).env("CHROMIUM", chromium))
}

/// Counts over all runners, and the names of those that did not end well.
#[derive(Default)]
struct Tally {
    count: Count,
    lines: Vec<String>,
    broken: Vec<String>,
}

impl Tally {
    fn add(&mut self, name: &str, command: &mut Command) -> Result<()> {
        let kept = step::run_and_keep(name, command)?;
        let count = Count::read(&kept.text);
        self.lines.push(format!("{name}: {} passed, {} failed", count.passed, count.failed));
        self.count = self.count.plus(count);
        if !kept.ended_well {
            self.broken.push(name.to_owned());
        }
        Ok(())
    }

    fn close(self) -> Result<()> {
        for line in &self.lines {
            say::line(line);
        }
        say::line(&format!("{} passed, {} failed", self.count.passed, self.count.failed));
        if !self.broken.is_empty() {
            bail!("not all is well in: {}", self.broken.join(", "));
        }
        Ok(())
    }
}
