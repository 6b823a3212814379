//! The project's chores: `cargo xtask demo | test | bench | lint | types | real-frames`.
//!
//! Each chore is a list of steps that call `cargo`, `npm` or look at files. Nothing here is linked into the program.

mod bench;
mod count;
mod demo;
mod lint;
mod real_frames;
mod say;
mod step;
mod system;
mod test;
mod types;
mod web;
mod workspace;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

/// Chores of the Quietarc repository.
#[derive(Parser)]
#[command(name = "cargo xtask", disable_help_subcommand = true)]
struct Arguments {
    #[command(subcommand)]
    chore: Chore,
}

#[derive(Subcommand)]
enum Chore {
    /// Build the pages and the program, then serve an invented night on loopback.
    Demo {
        /// Passed on to `quietarc demo` (for instance `--port 8080` or `--no-serve`).
        #[arg(trailing_var_arg = true, allow_hyphen_values = true)]
        extra: Vec<String>,
    },
    /// Run every test: Rust, doc examples, pages, and pages in a real browser.
    Test {
        /// Leave out the browser tests.
        #[arg(long)]
        no_browser: bool,
    },
    /// Check formatting, lints, crate edges, purity, licences and generated files.
    Lint {
        /// Run one check only; `--list` shows the names.
        #[arg(long, value_name = "NAME")]
        only: Option<String>,
        /// List the checks.
        #[arg(long)]
        list: bool,
    },
    /// Time the physics, briefly, and print one table.
    Bench {
        /// Benchmarks whose name holds this text.
        filter: Option<String>,
    },
    /// Write web/src/generated from the Rust types and the drawing palette.
    Types,
    /// Write docs/real-frames.md: what is said of every real picture of a folder.
    RealFrames {
        /// The folder with `aurora_photo/`, `starfield/` and the others; `../shared/frames` if not named.
        folder: Option<std::path::PathBuf>,
    },
}

fn main() -> ExitCode {
    let outcome = match Arguments::parse().chore {
        Chore::Demo { extra } => demo::run(&extra),
        Chore::Test { no_browser } => test::run(no_browser),
        Chore::Lint { list: true, .. } => lint::list(),
        Chore::Lint { only, .. } => lint::run(only.as_deref()),
        Chore::Bench { filter } => bench::run(filter.as_deref()),
        Chore::Types => types::write(),
        Chore::RealFrames { folder } => real_frames::run(folder.as_deref()),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            say::problem(&format!("{error:#}"));
            ExitCode::FAILURE
        }
    }
}
