//! Runs the program.

use std::process::{Command, Output};

/// The program with arguments; its own output and exit code.
pub(crate) fn quietarc(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_quietarc")).args(arguments).output().expect("the program was built with this test")
}

pub(crate) fn stdout(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

pub(crate) fn stderr(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}
