//! The night, its sequences and its frames in words for a tired person.

use std::fmt::Write;

use frame::AuroraPresence;

use super::measures;
use super::rank::Parts;
use super::report::{DudKind, SequenceKind, SortReport};
use super::request::{MeasuredFrame, PersonVerdict};
use super::sequences::Part;
use crate::wording::counted;

/// Appends to a text; writing to a String cannot fail.
macro_rules! append {
    ($out:expr, $($argument:tt)*) => {
        let _written = write!($out, $($argument)*);
    };
}

/// The fault in one or two words, for counts.
pub(super) fn fault(kind: DudKind) -> &'static str {
    match kind {
        DudKind::Unreadable => "unreadable",
        DudKind::CutShort => "cut short",
        DudKind::Copy => "copies",
        DudKind::Dark => "nothing but dark",
        DudKind::Underexposed => "far too dark",
        DudKind::BurntOut => "burnt out",
        DudKind::Soft => "soft",
        DudKind::Trailed => "trailed",
        DudKind::Shaken => "shaken",
        DudKind::Cloud => "cloud",
        DudKind::StarsLost => "stars gone",
        DudKind::LampSwept => "lamp",
        DudKind::MoonFlare => "moon flare",
        DudKind::NoAurora => "no aurora",
        DudKind::Daylight => "daylight",
        DudKind::NotAPhotograph => "not a photograph",
    }
}

/// The night in one sentence.
pub(super) fn summary(report: &SortReport) -> String {
    if report.frames_total == 0 {
        return "No frame was found.".to_owned();
    }
    let mut text = format!("{}: keep {}", counted(report.frames_total, "frame"), report.keepers);
    if report.spare > 0 {
        append!(text, ", {} more are good", report.spare);
    }
    if report.duds > 0 {
        let mut reasons: Vec<String> =
            report.reasons.iter().map(|reason| format!("{} {}", reason.frames, fault(reason.kind))).collect();
        let duds = report.frames.iter().filter(|frame| frame.person == Some(PersonVerdict::Dud));
        let without_fault = duds.filter(|frame| frame.reasons.is_empty()).count();
        if without_fault > 0 {
            reasons.push(format!("{without_fault} by your word"));
        }
        append!(text, ", {} ({})", counted(report.duds, "dud"), reasons.join(", "));
    }
    let left_open = report.frames.iter().filter(|frame| frame.person == Some(PersonVerdict::Undecided)).count();
    let left_open = u32::try_from(left_open).unwrap_or(u32::MAX);
    if report.undecided > left_open {
        append!(text, ", {} cannot be judged", report.undecided - left_open);
    }
    if left_open > 0 {
        append!(text, ", {left_open} left open by you");
    }
    text.push('.');
    text
}

/// "time-lapse of 412 frames every 6 s, 21:40:03 to 22:21:10".
///
/// * `time`: "2026-03-14 21:40:03" of a frame, its clock corrected.
pub(super) fn sequence(part: &Part, time: impl Fn(usize) -> Option<String>) -> String {
    let count = u32::try_from(part.frames.len()).unwrap_or(u32::MAX);
    let what = match part.kind {
        SequenceKind::TimeLapse => "time-lapse of",
        SequenceKind::Burst => "burst of",
        SequenceKind::Panorama => "panorama of",
        SequenceKind::FocusSeries => "focus series of",
        SequenceKind::Loose => "",
    };
    let mut text = format!("{what} {}", counted(count, "frame")).trim_start().to_owned();
    if let Some(interval_s) = part.interval_s.filter(|_interval| part.kind == SequenceKind::TimeLapse) {
        append!(text, " every {interval_s:.0} s");
    }
    let shown = |index: Option<&usize>| index.and_then(|index| time(*index)).map(|text| hour(&text));
    match (shown(part.frames.first()), shown(part.frames.last())) {
        (Some(first), Some(last)) if first != last => {
            append!(text, ", {first} to {last}");
        }
        (Some(first), _) => {
            append!(text, ", {first}");
        }
        _ => {}
    }
    text
}

/// "22:21:10" of "2026-03-14 22:21:10.5".
fn hour(text: &str) -> String {
    text.split_once(' ').map_or(text, |(_date, hour)| hour).chars().take(8).collect()
}

/// What speaks for a keeper: its strongest parts.
pub(super) fn praise(frame: &MeasuredFrame, parts: &Parts<f64>, width: Option<(f64, f64)>) -> String {
    let mut said: Vec<(f64, String)> = Vec::new();
    let seen = measures::aurora(&frame.report);
    match seen {
        Some(seen) if seen.presence == AuroraPresence::Yes => {
            let brightness =
                seen.brightest_kr.map_or_else(|| "aurora".to_owned(), |kr| format!("aurora up to {} kR", figures(kr)));
            let extent =
                seen.extent.map_or_else(String::new, |share| format!(" over {:.0} % of the sky", 100.0 * share));
            said.push((2.0, format!("{brightness}{extent}")));
        }
        None if parts.aurora > 0.5 => said.push((1.0 + parts.aurora, "among the greenest of the night".to_owned())),
        _ => {}
    }
    if let Some((here, best)) = width
        && parts.sharpness > 0.5
    {
        said.push((parts.sharpness, format!("stars {here:.1} px wide, best {best:.1}")));
    }
    if parts.structure > 0.7 {
        said.push((parts.structure, "strong shapes".to_owned()));
    }
    said.sort_by(|a, b| b.0.total_cmp(&a.0));
    if said.is_empty() {
        return "unlike the other keepers".to_owned();
    }
    said.into_iter().map(|(_weight, words)| words).collect::<Vec<_>>().join("; ")
}

/// "0.8", "12".
fn figures(value: f64) -> String {
    if value < 10.0 { format!("{value:.1}") } else { format!("{value:.0}") }
}

/// "37 s", "1 h 0 min": an error of a clock.
pub(super) fn span(seconds: f64) -> String {
    let whole = seconds.abs().round();
    match whole {
        short if short < 120.0 => format!("{short:.0} s"),
        minutes if minutes < 5400.0 => format!("{:.0} min", minutes / 60.0),
        hours => format!("{:.1} h", hours / 3600.0),
    }
}
