use std::io::{BufRead, BufReader, Read};
use std::process::{Command, Stdio};
use std::thread;

use anyhow::{Context, Result, bail};

use crate::say;

/// Runs a command with this terminal; fails with the step's name unless it ends well.
pub(crate) fn run(name: &str, command: &mut Command) -> Result<()> {
    say::step(name);
    let status = command.status().with_context(|| format!("{name}: cannot start {}", program(command)))?;
    if !status.success() {
        bail!("{name}: {} ended with {status}", program(command));
    }
    Ok(())
}

/// What a command wrote to standard output; its errors go to this terminal.
pub(crate) fn output(name: &str, command: &mut Command) -> Result<String> {
    let output = command
        .stderr(Stdio::inherit())
        .output()
        .with_context(|| format!("{name}: cannot start {}", program(command)))?;
    if !output.status.success() {
        bail!("{name}: {} ended with {}", program(command), output.status);
    }
    String::from_utf8(output.stdout).with_context(|| format!("{name}: the output is not UTF-8"))
}

/// Runs a command, shows what it writes, and keeps a copy: for steps whose output is counted afterwards.
pub(crate) fn run_and_keep(name: &str, command: &mut Command) -> Result<Kept> {
    say::step(name);
    let mut child = command
        .env("NO_COLOR", "1")
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .with_context(|| format!("{name}: cannot start {}", program(command)))?;
    let out = child.stdout.take().map(|pipe| thread::spawn(move || echo(pipe)));
    let err = child.stderr.take().map(|pipe| thread::spawn(move || echo(pipe)));
    let status = child.wait().with_context(|| format!("{name}: lost its process"))?;
    let text = [out, err].into_iter().flatten().filter_map(|reader| reader.join().ok()).collect();
    Ok(Kept { text, ended_well: status.success() })
}

/// Output of a command that was run to its end, well or not.
pub(crate) struct Kept {
    /// Standard output, then standard error.
    pub(crate) text: String,
    /// Whether its exit code was 0.
    pub(crate) ended_well: bool,
}

fn echo(pipe: impl Read) -> String {
    let mut kept = String::new();
    for line in BufReader::new(pipe).lines().map_while(Result::ok) {
        say::line(&line);
        kept.push_str(&line);
        kept.push('\n');
    }
    kept
}

fn program(command: &Command) -> String {
    command.get_program().to_string_lossy().into_owned()
}
