//! The one place that prints: answers to standard output, notes to standard error.

use std::io::{self, Write};

use crate::Failure;

/// Prints an answer. A closed pipe ends the program's output quietly.
///
/// # Errors
///
/// Standard output cannot be written to (disk full behind a redirection).
pub(crate) fn answer(text: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes())
        .and_then(|()| if text.ends_with('\n') { Ok(()) } else { out.write_all(b"\n") })
        .and_then(|()| out.flush())
        .or_else(quiet_on_closed_pipe)
}

/// Prints a report as JSON.
///
/// # Errors
///
/// As [`answer`].
pub(crate) fn json(report: &impl serde::Serialize) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(report).map_err(|error| {
        Failure::new(format!("the report cannot be written as JSON: {error}"), "report this as a bug")
    })?;
    answer(&text)
}

/// Prints a report as JSON on one line.
///
/// # Errors
///
/// As [`answer`].
pub(crate) fn json_line(report: &impl serde::Serialize) -> Result<(), Failure> {
    let text = serde_json::to_string(report).map_err(|error| {
        Failure::new(format!("the report cannot be written as JSON: {error}"), "report this as a bug")
    })?;
    answer(&text)
}

/// Prints a note, progress or error.
#[expect(clippy::print_stderr, reason = "the one place that writes to standard error")]
pub(crate) fn note(text: &str) {
    eprintln!("{text}");
}

/// A reader that went away (`head`) is no error.
#[expect(clippy::needless_pass_by_value, reason = "handed to or_else")]
pub(crate) fn quiet_on_closed_pipe(error: io::Error) -> Result<(), Failure> {
    if error.kind() == io::ErrorKind::BrokenPipe {
        return Ok(());
    }
    Err(Failure::new(format!("the answer cannot be written: {error}"), "check the space where it goes"))
}
