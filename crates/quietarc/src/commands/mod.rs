//! The commands: parse, load, call `job`, present.

mod almanac;
mod check;
mod demo;
mod demo_desk;
mod demo_night;
mod demo_station;
mod desk;
mod doctor;
mod export;
mod expose;
mod feeds;
mod given;
mod kit_from_frame;
mod kits;
mod magnetic;
mod outing;
mod outing_saw;
mod outlook;
pub(crate) mod read;
pub(crate) mod scores;
mod site;
mod sites;
mod skymap;
mod sort;
mod stand;
mod tell;

use std::path::{Path, PathBuf};

use clap::CommandFactory;
use jiff::Timestamp;
use journal::Journal;
use serde::de::DeserializeOwned;

use crate::cli::{Cli, Command, CompletionsArgs, JournalArgs, ManArgs, ServeArgs};
use crate::failure::{Failure, Outcome};
use crate::stored_feeds::settings;
use crate::{out_file, output, server};

/// Carries out a command.
pub fn run(cli: Cli) -> Outcome {
    let outcome = match cli.command {
        Command::Outlook(arguments) => outlook::run(&arguments),
        Command::Expose(arguments) => expose::run(&arguments),
        Command::Stand(arguments) => stand::run(&arguments),
        Command::Check(arguments) => check::run(&arguments),
        Command::Sort(arguments) => sort::run(&arguments),
        Command::Read(arguments) => read::run(&arguments),
        Command::Desk(arguments) => desk::run(&arguments),
        Command::Tell(arguments) => tell::run(&arguments),
        Command::DeskWorker => crate::desk::run_worker().map(|()| Outcome::Done),
        Command::Skymap(arguments) => skymap::run(&arguments),
        Command::Almanac(arguments) => almanac::run(&arguments),
        Command::Magnetic(arguments) => magnetic::run(&arguments),
        Command::Export(arguments) => export::run(&arguments),
        Command::Outing(arguments) => outing::run(&arguments),
        Command::Scores(arguments) => scores::run(&arguments),
        Command::Feeds(arguments) => feeds::run(&arguments),
        Command::Site(arguments) => sites::run(&arguments),
        Command::Kit(arguments) => kits::run(&arguments),
        Command::Serve(arguments) => serve(&arguments),
        Command::Doctor(arguments) => doctor::run(&arguments),
        Command::Completions(arguments) => completions(&arguments),
        Command::Man(arguments) => man(&arguments),
        Command::Demo(arguments) => demo::run(&arguments),
    };
    outcome.unwrap_or_else(Outcome::Refused)
}

fn serve(arguments: &ServeArgs) -> Result<Outcome, Failure> {
    let path = journal_path(&arguments.journal)?;
    let reach = if arguments.share { server::Reach::LocalNetwork } else { server::Reach::ThisMachine };
    let kept = server::Kept {
        journal: open_journal(&arguments.journal)?,
        path,
        settings: settings(&arguments.settings)?,
        frames: server::FrameFolders::new(reach, &arguments.frames)?,
        proxy: arguments.behind_proxy,
    };
    server::run(kept, arguments.port, reach)?;
    Ok(Outcome::Done)
}

/// Writes a completion script for a shell to standard output.
fn completions(arguments: &CompletionsArgs) -> Result<Outcome, Failure> {
    let mut script = Vec::new();
    clap_complete::generate(arguments.shell, &mut Cli::command(), "quietarc", &mut script);
    output::answer(&String::from_utf8_lossy(&script))?;
    Ok(Outcome::Done)
}

/// Writes one manual page a command into a folder.
fn man(arguments: &ManArgs) -> Result<Outcome, Failure> {
    let fault = |error: std::io::Error| {
        Failure::new(
            format!("the pages cannot be written to {}: {error}", arguments.folder.display()),
            "give a folder you can write to",
        )
    };
    std::fs::create_dir_all(&arguments.folder).map_err(fault)?;
    clap_mangen::generate_to(Cli::command(), &arguments.folder).map_err(fault)?;
    output::answer(&format!("manual pages are in {}; read one with: man -l FILE", arguments.folder.display()))?;
    Ok(Outcome::Done)
}

/// Now: the one place where a command asks the clock.
fn now() -> Timestamp {
    Timestamp::now()
}

/// Opens the journal named, or the one of this account.
fn open_journal(arguments: &JournalArgs) -> Result<Journal, Failure> {
    let path = journal_path(arguments)?;
    make_folder(&path)?;
    Ok(Journal::open(&path)?)
}

fn journal_path(arguments: &JournalArgs) -> Result<PathBuf, Failure> {
    arguments.journal.clone().map_or_else(default_journal, Ok)
}

/// Opens the journal named, or the one of this account, if it is there: a question alone makes none.
fn open_journal_if_there(arguments: &JournalArgs) -> Result<Option<Journal>, Failure> {
    match journal_path(arguments) {
        Ok(path) if path.is_file() => Ok(Some(Journal::open(&path)?)),
        // an account without a home folder has no journal either
        _none => Ok(None),
    }
}

fn make_folder(path: &Path) -> Result<(), Failure> {
    let Some(folder) = path.parent().filter(|folder| !folder.as_os_str().is_empty()) else { return Ok(()) };
    std::fs::create_dir_all(folder).map_err(|error| {
        Failure::new(
            format!("the folder {} cannot be made: {error}", folder.display()),
            "give --journal in a folder you can write to",
        )
    })
}

fn default_journal() -> Result<PathBuf, Failure> {
    let data = std::env::var_os("XDG_DATA_HOME")
        .map(PathBuf::from)
        .or_else(|| std::env::var_os("HOME").map(|home| PathBuf::from(home).join(".local/share")));
    data.map(|data| data.join("quietarc/journal.sqlite"))
        .ok_or_else(|| Failure::new("this account has no home folder", "give --journal FILE"))
}

/// Reads a whole request from a JSON file.
fn request_from<T: DeserializeOwned>(path: &Path) -> Result<T, Failure> {
    serde_json::from_slice(&read(path)?).map_err(|error| {
        Failure::new(
            format!("{} is no such request: {error}", path.display()),
            "give the JSON that --json prints under \"request\"",
        )
    })
}

/// Largest file read whole, bytes.
const LARGEST_FILE: u64 = 64 << 20;

pub(crate) fn read(path: &Path) -> Result<Vec<u8>, Failure> {
    let fault = |error: std::io::Error| {
        Failure::new(format!("{} cannot be read: {error}", path.display()), "give the path of a readable file")
    };
    let length = std::fs::metadata(path).map_err(fault)?.len();
    if length > LARGEST_FILE {
        return Err(Failure::new(format!("{} has {length} bytes", path.display()), "give a file of 64 MB at most"));
    }
    std::fs::read(path).map_err(fault)
}

/// Writes a picture as SVG or PNG, by the file's ending.
fn save_picture(path: &Path, svg: &str) -> Result<(), Failure> {
    out_file::write(path, &picture_bytes(path, svg, 2.0)?)
}

/// A drawing in the form that a file's name asks for.
///
/// * `scale`: pixels of a PNG over those of the drawing.
fn picture_bytes(path: &Path, svg: &str, scale: f32) -> Result<Vec<u8>, Failure> {
    match path.extension().and_then(|ending| ending.to_str()) {
        Some("svg") => Ok(svg.as_bytes().to_vec()),
        Some("png") => crate::raster::png(svg, scale),
        _ => Err(Failure::new(
            format!("{} ends neither in .svg nor in .png", path.display()),
            "end the name in .svg or .png",
        )),
    }
}

/// The first of what failed while the rest was done, the others said before it.
fn first_failure(failures: impl IntoIterator<Item = Failure>) -> Result<(), Failure> {
    let mut failures = failures.into_iter();
    let Some(first) = failures.next() else { return Ok(()) };
    for failure in failures {
        output::note(&format!("{}; {}", failure.message, failure.hint));
    }
    Err(first)
}

/// A coordinate that must be there.
fn required(value: Option<f64>, flag: &str) -> Result<f64, Failure> {
    value.ok_or_else(|| Failure::new(format!("{flag} is missing"), format!("give {flag} in degrees")))
}
