//! `quietarc`: see the library of this package.

use std::process::ExitCode;

use clap::Parser;

fn main() -> ExitCode {
    let cli = quietarc::cli::Cli::parse();
    quietarc::run(cli).report()
}
