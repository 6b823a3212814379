//! `quietarc doctor`: what is installed, writable and stale, and the remedy.

use std::path::Path;
use std::process::{Command, Stdio};

use feeds::FeedState;
use journal::Journal;
use serde::Serialize;

use super::{default_journal, make_folder, now};
use crate::Failure;
use crate::cli::DoctorArgs;
use crate::failure::Outcome;
use crate::feed_standing::FeedsReport;
use crate::output;
use crate::stored_feeds::settings;

/// How a finding stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
enum Standing {
    Good,
    /// Works, with less.
    Lacking,
    Broken,
}

/// One thing looked at.
#[derive(Debug, Serialize)]
struct Finding {
    what: &'static str,
    standing: Standing,
    /// What was found, in words.
    found: String,
    /// What to do; empty where nothing is to be done.
    remedy: String,
}

impl Finding {
    fn good(what: &'static str, found: impl Into<String>) -> Self {
        Self { what, standing: Standing::Good, found: found.into(), remedy: String::new() }
    }

    fn lacking(what: &'static str, found: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { what, standing: Standing::Lacking, found: found.into(), remedy: remedy.into() }
    }

    fn broken(what: &'static str, failure: Failure) -> Self {
        Self { what, standing: Standing::Broken, found: failure.message, remedy: failure.hint }
    }
}

pub(super) fn run(arguments: &DoctorArgs) -> Result<Outcome, Failure> {
    let mut findings = vec![program()];
    findings.extend(journal(arguments));
    findings.extend([clock(), field_model(), pages(), video()]);
    if arguments.json {
        output::json(&findings)?;
    } else {
        output::answer(&text(&findings))?;
    }
    let broken = findings.iter().filter(|finding| finding.standing == Standing::Broken).count();
    Ok(if broken == 0 { Outcome::Done } else { Outcome::SomeFailed { failed: broken, of: findings.len() } })
}

fn text(findings: &[Finding]) -> String {
    let mut lines = Vec::new();
    for Finding { what, standing, found, remedy } in findings {
        let mark = match standing {
            Standing::Good => "good",
            Standing::Lacking => "lacking",
            Standing::Broken => "BROKEN",
        };
        lines.push(format!("{mark:8} {what}: {found}"));
        if !remedy.is_empty() {
            lines.push(format!("         do: {remedy}"));
        }
    }
    lines.join("\n")
}

fn program() -> Finding {
    Finding::good("program", format!("quietarc {}", env!("CARGO_PKG_VERSION")))
}

/// The journal's folder, its file, and what it holds.
fn journal(arguments: &DoctorArgs) -> Vec<Finding> {
    let path = match arguments.journal.journal.clone().map_or_else(default_journal, Ok) {
        Ok(path) => path,
        Err(failure) => return vec![Finding::broken("journal", failure)],
    };
    if !path.exists() {
        return vec![match folder_is_writable(&path) {
            Ok(()) => {
                Finding::good("journal", format!("none yet; the first command that stores makes {}", path.display()))
            }
            Err(failure) => Finding::broken("journal", failure),
        }];
    }
    match Journal::open(&path).map_err(Failure::from).and_then(|journal| holdings(&journal, arguments)) {
        Ok((held, sites, feeds)) => {
            vec![Finding::good("journal", format!("{} holds {held}", path.display())), sites, feeds]
        }
        Err(failure) => vec![Finding::broken("journal", failure)],
    }
}

fn holdings(journal: &Journal, arguments: &DoctorArgs) -> Result<(String, Finding, Finding), Failure> {
    let (sites, kits, outings) = (journal.sites()?, journal.kits()?, journal.outings()?);
    let words = format!("{} sites, {} kits, {} outings", sites.len(), kits.len(), outings.len());
    let unmeasured = sites.iter().filter(|stored| stored.site.sky_quality == job::SkyQuality::FromTowns).count();
    let finding = if sites.is_empty() {
        Finding::lacking("sites", "none kept", "add one: quietarc site add NAME --lat D --lon D")
    } else if unmeasured > 0 {
        Finding::lacking(
            "sites",
            format!("{unmeasured} of {} have no measured sky", sites.len()),
            "measure the zenith with a sky meter on a moonless night and store it with --sky-mag",
        )
    } else {
        Finding::good("sites", "every sky is measured or classed")
    };
    Ok((words, finding, feeds(journal, arguments)?))
}

/// How old the stored feeds are.
fn feeds(journal: &Journal, arguments: &DoctorArgs) -> Result<Finding, Failure> {
    let standing = FeedsReport::read(&settings(&arguments.settings)?, journal, now())?;
    let stored = || standing.feeds.iter().filter(|line| line.is_on && line.stored.is_some());
    let wanting = stored().filter(|line| !matches!(line.state, FeedState::Fresh | FeedState::Unchecked));
    let wanting: Vec<String> = wanting.map(|line| format!("{} {}", line.feed, line.state.word())).collect();
    Ok(match (stored().count(), wanting.len()) {
        (0, _) => Finding::lacking("feeds", "none stored: the outlook knows only what is given", "quietarc feeds pull"),
        (_, 0) => Finding::good("feeds", "all that are stored are fresh"),
        (all, _) => Finding::lacking(
            "feeds",
            format!("{} of {all} are not fresh: {}", wanting.len(), wanting.join(", ")),
            "quietarc feeds pull, then quietarc feeds status",
        ),
    })
}

fn folder_is_writable(path: &Path) -> Result<(), Failure> {
    make_folder(path)?;
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or_else(|| Path::new("."));
    let metadata = std::fs::metadata(folder).map_err(|error| {
        Failure::new(format!("{} cannot be read: {error}", folder.display()), "give --journal in a folder you own")
    })?;
    if metadata.permissions().readonly() {
        return Err(Failure::new(
            format!("{} is read-only", folder.display()),
            "give --journal in a folder you can write to",
        ));
    }
    Ok(())
}

/// Earliest year a sane clock shows: before it the program did not exist.
const EARLIEST_YEAR: i16 = 2026;

fn clock() -> Finding {
    let now = super::now();
    let year = now.to_zoned_datetime(jiff::tz::TimeZone::UTC).year();
    if year < EARLIEST_YEAR {
        return Finding::lacking(
            "clock",
            format!("says {now:.0}"),
            "set the clock of this machine: ages of inputs count from it",
        );
    }
    Finding::good("clock", format!("{now:.0} (ages of inputs count from it)"))
}

fn field_model() -> Finding {
    match geomag::FieldModel::at(super::now()) {
        Ok(_) => Finding::good("magnetic field", "IGRF-14 covers today"),
        Err(error) => {
            Finding::lacking("magnetic field", error.to_string(), "install a newer quietarc with the next field model")
        }
    }
}

fn pages() -> Finding {
    if crate::server::has_pages() {
        return Finding::good("pages", "built in");
    }
    Finding::lacking("pages", "not built into this program", "build it with: cargo xtask demo")
}

/// Video is read by an external program; everything else works without it.
fn video() -> Finding {
    let asked = Command::new("ffmpeg").arg("-version").stdin(Stdio::null()).stderr(Stdio::null()).output();
    match asked {
        Ok(output) if output.status.success() => {
            let text = String::from_utf8_lossy(&output.stdout);
            Finding::good(
                "video",
                text.lines().next().unwrap_or("ffmpeg").split(" Copyright").next().unwrap_or("ffmpeg").to_owned(),
            )
        }
        _ => Finding::lacking(
            "video",
            "no ffmpeg found",
            "install it to read video (Debian: apt install ffmpeg); pictures work without",
        ),
    }
}
