//! The one place of xtask that prints.
#![expect(clippy::print_stdout, clippy::print_stderr, reason = "a task runner answers on the terminal")]

/// A line of the answer.
pub(crate) fn line(text: &str) {
    println!("{text}");
}

/// What is about to be done.
pub(crate) fn step(text: &str) {
    eprintln!("== {text}");
}

/// What went wrong.
pub(crate) fn problem(text: &str) {
    eprintln!("error: {text}");
}
