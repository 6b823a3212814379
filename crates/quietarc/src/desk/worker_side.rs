//! The worker's own side: limits first, then the picture.

use std::io::{self, BufRead, Read, Write};

use job::{DeskRequest, DeskVerdict, OpenedPicture, desk};
use journal::SubmissionOutcome;
use serde::Serialize;
use serde_json::Value;

use super::strip;
use super::worker::{Asked, Said, Task};
use crate::Failure;

/// Longest side of the copy for the list, px: twice what is shown, for sharp screens.
const SMALL_PX: usize = 320;
/// Longest side of the copy to look at, px.
const VIEW_PX: usize = 1600;
/// Quality of the copies, of 100: good to look at, ten to twenty times smaller than the original. Common practice, no source.
const SMALL_QUALITY: u8 = 75;
const VIEW_QUALITY: u8 = 85;
/// Keys under which a place may stand in measures: it is kept out of everything that is shown.
const PLACES: [&str; 4] = ["position", "latitude_deg", "longitude_deg", "height_m"];

/// Opens the picture on standard input and says on standard output what it is.
pub(crate) fn run() -> Result<(), Failure> {
    limit()?;
    let broken = |error: io::Error| Failure::new(format!("the pipe broke: {error}"), "start quietarc again");
    let mut input = io::stdin().lock();
    let mut line = String::new();
    input.read_line(&mut line).map_err(broken)?;
    let asked: Asked = serde_json::from_str(&line).map_err(|error| {
        Failure::new(
            format!("no such question: {error}"),
            "this command is for quietarc itself: quietarc desk take FILE",
        )
    })?;
    let mut bytes = Vec::new();
    input.read_to_end(&mut bytes).map_err(broken)?;
    let (said, copies) = match asked.task {
        Task::Measure => measure(asked, &bytes),
        Task::Strip => stripped(&bytes),
    };
    let said = Said { copies: copies.iter().map(Vec::len).collect(), ..said };
    let head = serde_json::to_string(&said).unwrap_or_default();
    let mut out = io::stdout().lock();
    writeln!(out, "{head}").map_err(broken)?;
    for copy in &copies {
        out.write_all(copy).map_err(broken)?;
    }
    out.flush().map_err(broken)
}

/// No more memory and time than a picture needs, no file written, no core dumped.
#[cfg(unix)]
fn limit() -> Result<(), Failure> {
    use rustix::process::{Resource, Rlimit, setrlimit};

    use super::worker::{MEMORY_BYTES, PROCESSOR_S};
    let limits =
        [(Resource::As, MEMORY_BYTES), (Resource::Cpu, PROCESSOR_S), (Resource::Fsize, 0), (Resource::Core, 0)];
    for (resource, most) in limits {
        setrlimit(resource, Rlimit { current: Some(most), maximum: Some(most) }).map_err(|error| {
            Failure::new(format!("the worker cannot limit itself: {error}"), "raise the limits of this account")
        })?;
    }
    Ok(())
}

/// Other systems are left to their own limits; the time by the clock holds there too.
#[cfg(not(unix))]
#[expect(clippy::unnecessary_wraps, reason = "as where there are limits")]
fn limit() -> Result<(), Failure> {
    Ok(())
}

fn unopened(problem: impl std::fmt::Display) -> (Said, Vec<Vec<u8>>) {
    (Said { problem: Some(problem.to_string()), ..Said::default() }, Vec::new())
}

fn measure(asked: Asked, bytes: &[u8]) -> (Said, Vec<Vec<u8>>) {
    let copies = OpenedPicture::open(bytes, true).and_then(|picture| {
        let copies = [jpeg(&picture.small(SMALL_PX)?, SMALL_QUALITY), jpeg(&picture.small(VIEW_PX)?, VIEW_QUALITY)];
        Ok((picture.size_px(), copies))
    });
    let (size, copies) = match copies {
        Ok(opened) => opened,
        Err(error) => return unopened(error.problem),
    };
    let [Some(small), Some(view)] = copies else { return unopened("no copy of it can be made") };
    let request = DeskRequest {
        name: asked.name,
        claim: asked.claim,
        activity: asked.activity,
        own_word: asked.own_word,
        ..DeskRequest::default()
    };
    let mut report = desk(&request, bytes);
    let print = report.fingerprint.take();
    let outcome = Some(match report.verdict {
        DeskVerdict::Consistent => SubmissionOutcome::Consistent,
        DeskVerdict::Inconsistent => SubmissionOutcome::Inconsistent,
        DeskVerdict::CannotTell => SubmissionOutcome::CannotTell,
    });
    let side = |px: usize| u32::try_from(px).unwrap_or(u32::MAX);
    let said = Said {
        size_px: Some(size.map(side)),
        measures: told(&report.frame),
        // what the picture shows by itself stands among the measures
        evidence: told(&report).map(|evidence| without(evidence, "frame")),
        outcome,
        print,
        ..Said::default()
    };
    (said, vec![small, view])
}

/// A report as JSON, without places.
fn told(report: &impl Serialize) -> Option<Value> {
    let mut value = serde_json::to_value(report).ok()?;
    without_places(&mut value);
    Some(value)
}

fn without(mut value: Value, field: &str) -> Value {
    if let Some(fields) = value.as_object_mut() {
        fields.remove(field);
    }
    value
}

fn stripped(bytes: &[u8]) -> (Said, Vec<Vec<u8>>) {
    match strip::strip(bytes) {
        Ok(copy) => {
            let ending = Some(copy.ending.to_owned());
            (Said { ending, ..Said::default() }, vec![copy.bytes])
        }
        Err(problem) => unopened(problem),
    }
}

fn jpeg(picture: &job::Preview, quality: u8) -> Option<Vec<u8>> {
    let (width, height) = (u16::try_from(picture.width).ok()?, u16::try_from(picture.height).ok()?);
    let mut bytes = Vec::new();
    let encoder = jpeg_encoder::Encoder::new(&mut bytes, quality);
    encoder.encode(&picture.rgb, width, height, jpeg_encoder::ColorType::Rgb).ok()?;
    Some(bytes)
}

/// Takes places out of measures, however deep.
pub(crate) fn without_places(value: &mut Value) {
    match value {
        Value::Object(fields) => {
            fields.retain(|key, _| !PLACES.contains(&key.as_str()));
            fields.values_mut().for_each(without_places);
        }
        Value::Array(items) => items.iter_mut().for_each(without_places),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}
