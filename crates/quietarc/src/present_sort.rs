//! A sorted night as text: the sum first, then what belongs together, then the best.

use std::fmt::Write;
use std::path::Path;
use std::time::Duration;

use job::{FrameVerdict, SortReport, SortedFrame};

use crate::present::list;
use crate::sorting::{Delivered, Delivery, Gathered, Rated, one_line};

/// Keepers shown.
const SHOWN_BEST: usize = 12;
/// Sequences shown, the longest kept.
const SHOWN_SEQUENCES: usize = 20;
/// Duds shown of each fault.
const SHOWN_DUDS: usize = 3;

/// Appends a line; writing to a String cannot fail.
macro_rules! line {
    ($out:expr, $($argument:tt)*) => {
        let _written = writeln!($out, $($argument)*);
    };
}

/// * `done`: what was done beside, a line each.
pub(crate) fn sort(report: &SortReport, done: &[String]) -> String {
    let mut out = String::new();
    line!(out, "{}", report.summary);
    for line in done {
        line!(out, "  {line}");
    }
    sequences(&mut out, report);
    best(&mut out, report);
    duds(&mut out, report);
    cameras(&mut out, report);
    list(&mut out, "Notes", &report.notes);
    out
}

fn frame(report: &SortReport, index: u32) -> Option<&SortedFrame> {
    report.frames.get(usize::try_from(index).ok()?)
}

fn sequences(out: &mut String, report: &SortReport) {
    if report.sequences.is_empty() {
        return;
    }
    line!(out, "\nSequences");
    for sequence in report.sequences.iter().take(SHOWN_SEQUENCES) {
        let count = |verdict| {
            let frames = sequence.frames.iter().filter_map(|index| frame(report, *index));
            frames.filter(|frame| frame.verdict == verdict).count()
        };
        let (keep, duds) = (count(FrameVerdict::Keep), count(FrameVerdict::Dud));
        let camera = sequence.camera.and_then(|index| report.cameras.get(usize::try_from(index).ok()?));
        let with = camera
            .filter(|_camera| report.cameras.len() > 1)
            .map_or_else(String::new, |camera| format!(", {}", one_line(&camera.name)));
        line!(out, "  {}{with}: keep {keep}, {duds} {}", sequence.words, if duds == 1 { "dud" } else { "duds" });
    }
    if report.sequences.len() > SHOWN_SEQUENCES {
        line!(out, "  and {} more", report.sequences.len() - SHOWN_SEQUENCES);
    }
}

fn best(out: &mut String, report: &SortReport) {
    if report.best.is_empty() {
        return;
    }
    line!(out, "\nThe best");
    for index in report.best.iter().take(SHOWN_BEST) {
        if let Some(frame) = frame(report, *index) {
            line!(out, "  {}: {}", one_line(&frame.name), frame.why);
        }
    }
    if report.best.len() > SHOWN_BEST {
        line!(out, "  and {} more to keep", report.best.len() - SHOWN_BEST);
    }
}

/// A few duds of each fault, so that a person can see whether to believe it.
fn duds(out: &mut String, report: &SortReport) {
    if report.reasons.is_empty() {
        return;
    }
    line!(out, "\nDuds");
    for reason in &report.reasons {
        let with = report.frames.iter().filter(|frame| frame.verdict == FrameVerdict::Dud);
        let with: Vec<_> = with
            .filter_map(|frame| Some((frame, frame.reasons.iter().find(|found| found.kind == reason.kind)?)))
            .collect();
        for (frame, found) in with.iter().take(SHOWN_DUDS) {
            line!(out, "  {}: {}", one_line(&frame.name), one_line(&found.words));
        }
        if with.len() > SHOWN_DUDS {
            line!(out, "    and {} more likewise", with.len() - SHOWN_DUDS);
        }
    }
}

fn cameras(out: &mut String, report: &SortReport) {
    let said = report.cameras.iter().any(|camera| camera.words.is_some() || camera.correction_s != 0.0);
    if !said {
        return;
    }
    line!(out, "\nClocks");
    for camera in &report.cameras {
        let words = camera.words.as_deref().map_or_else(String::new, |words| format!("; {words}"));
        line!(out, "  {}: {:+.0} s{words}", one_line(&camera.name), camera.correction_s);
    }
}

/// "412 frames measured in 3 min; 20 known from before".
pub(crate) fn took(gathered: &Gathered, time: Duration) -> String {
    let mut text = format!("{} measured in {:.1} s", gathered.measured, time.as_secs_f64());
    append_others(&mut text, gathered);
    text
}

/// "412 frames measured; 20 known from before".
pub(crate) fn counted(gathered: &Gathered) -> String {
    let mut text = format!("{} frames measured", gathered.measured);
    append_others(&mut text, gathered);
    text
}

fn append_others(text: &mut String, gathered: &Gathered) {
    if gathered.known > 0 {
        let _written = write!(text, ", {} known from before", gathered.known);
    }
    if gathered.others > 0 {
        let files = if gathered.others == 1 { "file" } else { "files" };
        let _written = write!(text, "; {} other {files} passed over", gathered.others);
    }
}

pub(crate) fn rated(rated: &Rated) -> String {
    let mut text = format!("{} ratings written, {} stood there already", rated.written, rated.unchanged);
    if !rated.left.is_empty() {
        let _written = write!(text, ", {} of your own left as they are", rated.left.len());
    }
    text
}

pub(crate) fn delivered(how: Delivery, delivered: &Delivered, into: &Path) -> String {
    let how = match how {
        Delivery::Copy => "copied",
        Delivery::Link => "linked",
    };
    format!("{} files {how} to {}, {} lay there already", delivered.files, into.display(), delivered.already)
}
