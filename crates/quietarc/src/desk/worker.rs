//! Opening a stranger's picture in a process of its own: it may take so much memory and so long, and can spoil only itself.

use std::fs::File;
use std::io::{self, Read, Write};
use std::path::Path;
use std::process::{Child, Command, ExitStatus, Stdio};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use job::{Activity, DeskClaim, Fingerprint, OwnWord};
use journal::SubmissionOutcome;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::Failure;

/// Name of the hidden command.
const WORKER: &str = "desk-worker";
/// Memory that a worker may have, bytes: what `frame` lets one picture take, with room for its measuring and its program.
pub(super) const MEMORY_BYTES: u64 = 3 << 30;
/// Time on a processor that a worker may have, s. The largest pictures take some 10 s in a build that is not optimised.
pub(super) const PROCESSOR_S: u64 = 60;
/// Time by the clock after which it is ended.
const PATIENCE: Duration = Duration::from_secs(150);
/// How often it is looked at.
const LOOKED_EVERY: Duration = Duration::from_millis(10);
/// What a worker may say at most, bytes: a copy of a 60 MB picture and its measures.
const MOST_SAID: u64 = 200_000_000;

/// What a worker is asked; one line of JSON before the picture's bytes.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(super) struct Asked {
    pub(super) name: String,
    pub(super) task: Task,
    /// What its sender says of it, to be set against what it shows.
    #[serde(default)]
    pub(super) claim: DeskClaim,
    /// Kp around the claimed time, where it is known.
    #[serde(default)]
    pub(super) activity: Option<Activity>,
    /// What own frames and kept outlooks said about the claim.
    #[serde(default)]
    pub(super) own_word: OwnWord,
}

/// What to do with the picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Task {
    /// Measure it, and make a small copy and one to look at.
    Measure,
    /// Make a copy without metadata.
    Strip,
}

/// What a worker says; one line of JSON before the copies it made.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub(super) struct Said {
    /// Why the picture could not be opened.
    pub(super) problem: Option<String>,
    pub(super) size_px: Option<[u32; 2]>,
    pub(super) measures: Option<Value>,
    pub(super) evidence: Option<Value>,
    pub(super) outcome: Option<SubmissionOutcome>,
    /// What it looks like.
    #[serde(default)]
    pub(super) print: Option<Fingerprint>,
    /// Ending of the name of a copy without metadata.
    pub(super) ending: Option<String>,
    /// Lengths of the copies that follow, bytes.
    pub(super) copies: Vec<usize>,
}

/// A worker's answer with its copies.
pub(super) struct Answer {
    pub(super) said: Said,
    pub(super) copies: Vec<Vec<u8>>,
}

/// Has a picture opened. What is wrong with the picture, or with what it does to a worker, is in the answer.
///
/// # Errors
///
/// No worker can be started at all.
pub(super) fn ask(asked: &Asked, original: &Path) -> Result<Answer, Failure> {
    let picture = match File::open(original) {
        Ok(picture) => picture,
        Err(error) => return Ok(unopened(format!("its original cannot be read: {error}"))),
    };
    let mut child = start()?;
    let heard = child.stdout.take().map(listen);
    let told = child.stdin.take().map(|stdin| tell(stdin, asked, picture));
    let ended = wait(&mut child);
    // a worker that was ended leaves closed pipes behind: both threads come to an end
    let said = heard.and_then(|heard| heard.join().ok()).and_then(Result::ok).unwrap_or_default();
    if let Some(told) = told {
        let _it_may_have_stopped_listening = told.join();
    }
    Ok(match ended {
        Ok(status) if status.success() => {
            answer(&said).unwrap_or_else(|| unopened("its worker said nothing that can be read".to_owned()))
        }
        Ok(status) => unopened(why(status).to_owned()),
        Err(problem) => unopened(problem),
    })
}

fn unopened(problem: String) -> Answer {
    Answer { said: Said { problem: Some(problem), ..Said::default() }, copies: Vec::new() }
}

/// This program again, with nothing of its surroundings.
fn start() -> Result<Child, Failure> {
    let fault = |error: io::Error| {
        Failure::new(format!("no worker can be started: {error}"), "start quietarc again from where it is installed")
    };
    let program = std::env::current_exe().map_err(fault)?;
    Command::new(program)
        .arg(WORKER)
        .env_clear()
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .map_err(fault)
}

fn listen(stdout: impl Read + Send + 'static) -> JoinHandle<io::Result<Vec<u8>>> {
    std::thread::spawn(move || {
        let mut said = Vec::new();
        stdout.take(MOST_SAID).read_to_end(&mut said)?;
        Ok(said)
    })
}

fn tell(mut stdin: impl Write + Send + 'static, asked: &Asked, mut picture: File) -> JoinHandle<io::Result<()>> {
    let line = serde_json::to_string(asked).unwrap_or_default();
    std::thread::spawn(move || {
        writeln!(stdin, "{line}")?;
        io::copy(&mut picture, &mut stdin)?;
        stdin.flush()
    })
}

fn wait(child: &mut Child) -> Result<ExitStatus, String> {
    let started = Instant::now();
    loop {
        match child.try_wait() {
            Ok(Some(status)) => return Ok(status),
            Ok(None) if started.elapsed() < PATIENCE => std::thread::sleep(LOOKED_EVERY),
            Ok(None) | Err(_) => break,
        }
    }
    let _it_may_be_gone = child.kill();
    let _reaped = child.wait();
    Err(TOO_LONG.to_owned())
}

const TOO_LONG: &str = "it takes longer to open than a picture may";

fn why(status: ExitStatus) -> &'static str {
    match signal(status) {
        // SIGABRT: an allocation was refused; SIGKILL and SIGXCPU: the limit of time (POSIX numbers)
        Some(6) => "it takes more memory than a picture may",
        Some(9 | 24) => TOO_LONG,
        _ => "opening it broke its worker off; nothing else was touched",
    }
}

#[cfg(unix)]
fn signal(status: ExitStatus) -> Option<i32> {
    std::os::unix::process::ExitStatusExt::signal(&status)
}

#[cfg(not(unix))]
fn signal(_status: ExitStatus) -> Option<i32> {
    None
}

/// `None` for an answer that is not in this form: what a stranger's picture made of a worker is not believed.
fn answer(said: &[u8]) -> Option<Answer> {
    let end = said.iter().position(|byte| *byte == b'\n')?;
    let head: Said = serde_json::from_slice(said.get(..end)?).ok()?;
    let mut rest = said.get(end + 1..)?;
    let mut copies = Vec::new();
    for length in &head.copies {
        let (copy, after) = rest.split_at_checked(*length)?;
        copies.push(copy.to_vec());
        rest = after;
    }
    rest.is_empty().then_some(Answer { said: head, copies })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_answer_of_another_length_is_not_believed() {
        let two = b"{\"problem\":null,\"size_px\":[3,2],\"measures\":null,\"evidence\":null,\"outcome\":null,\"ending\":null,\"copies\":[1,2]}\nabc";
        let heard = answer(two).unwrap();
        assert_eq!(heard.copies, [b"a".to_vec(), b"bc".to_vec()]);
        assert!(answer(&two[..two.len() - 1]).is_none());
        assert!(answer(&[two.as_slice(), b"d"].concat()).is_none());
        assert!(answer(b"<html>").is_none());
    }
}
