//! A checked submission as text: the verdict, then one row a check with its reason and numbers.

use std::fmt::Write;

use job::{DeskReport, DeskVerdict};

/// Appends a line; writing to a String cannot fail.
macro_rules! line {
    ($out:expr, $($argument:tt)*) => {
        let _written = writeln!($out, $($argument)*);
    };
}

/// * `named`: whether the file's name stands above.
pub(crate) fn desk(report: &DeskReport, named: bool) -> String {
    let mut out = String::new();
    if named {
        line!(out, "== {}", report.file);
    }
    line!(out, "{}", report.summary);
    for check in &report.checks {
        // readable without colour: + fits, ! does not, ? cannot tell
        let mark = match check.verdict {
            DeskVerdict::Consistent => "+",
            DeskVerdict::Inconsistent => "!",
            DeskVerdict::CannotTell => "?",
        };
        line!(out, "\n{mark} {}: {}", check.kind.words(), check.verdict.words());
        line!(out, "  {}", check.sentence);
        for evidence in &check.evidence {
            line!(out, "    {}: {}", evidence.name, evidence.text);
        }
        line!(out, "    rests on: {}", check.basis);
    }
    if named {
        line!(out, "");
    }
    out
}
