//! What was done to a clip, in words.

use std::fmt::Write;

use super::{ClipColours, ClipFacts, ClipRequest};
use crate::SkippedFrame;
use crate::tell::credit::credited;

/// Frames left out that are named in the caption; the report holds all.
const NAMED: usize = 10;
/// Factors this near to 1 change nothing that can be seen: a step of 8 bits is 1 % of the light or more.
const SEEN: f64 = 0.005;

/// Every edit, one a line.
pub(super) fn edits(request: &ClipRequest, facts: &ClipFacts) -> Vec<String> {
    let mut edits = vec![pace(request, facts)];
    if !facts.left_out.is_empty() {
        edits.push(left_out(&facts.left_out, facts.asked));
    }
    edits.push(cut(facts));
    edits.push(colours(facts.colours, facts.inside_raw));
    edits.push(evenness(facts));
    if request.clock {
        edits.push(clock(facts));
    }
    edits.push(format!("Packed with loss: {}, 8 bits, colour at half the size (4:2:0).", facts.encoder));
    edits.push("Nothing else was changed: no sharpening, noise reduction, contrast or saturation, nothing added or taken away.".to_owned());
    edits
}

fn pace(request: &ClipRequest, facts: &ClipFacts) -> String {
    let order = if facts.by_time { "" } else { ", in the order of their names, for not all say when they were taken" };
    let runs_s = f64::from(facts.shown) / request.frames_per_s;
    let pace = facts.span_s.filter(|span_s| *span_s > 0.0 && facts.shown > 1).map_or_else(String::new, |span_s| {
        let shown_s = f64::from(facts.shown - 1) / request.frames_per_s;
        format!(": {:.0} times faster than it was", span_s / shown_s)
    });
    format!("Time-lapse of {} frames at {} a second ({runs_s:.1} s){pace}{order}.", facts.shown, request.frames_per_s)
}

fn clock(facts: &ClipFacts) -> String {
    match facts.timed {
        0 => "No time is written into the picture, for no frame says when it was taken.".to_owned(),
        timed if timed < facts.shown => {
            format!("The time is written into {timed} frames; the others do not say when they were taken.")
        }
        _all => "The time of each frame is written into the picture.".to_owned(),
    }
}

/// "2 of 40 frames left out: a.jpg (why); b.jpg (why)."
pub(in crate::tell) fn left_out(left_out: &[SkippedFrame], asked: u32) -> String {
    let mut text = format!("{} of {asked} frames left out:", left_out.len());
    for frame in left_out.iter().take(NAMED) {
        // writing to a String cannot fail
        let _written = write!(text, " {} ({});", frame.name, frame.reason);
    }
    if left_out.len() > NAMED {
        text.push_str(" and others;");
    }
    text.pop();
    text.push('.');
    text
}

fn cut(facts: &ClipFacts) -> String {
    let geometry = &facts.geometry;
    let [width, height] = geometry.frame_px;
    let [.., part_width, part_height] = geometry.part_px;
    let is_whole = width as f64 - part_width < 2.0 && height as f64 - part_height < 2.0;
    let part = if is_whole {
        format!("The whole frame of {width} x {height} px")
    } else {
        format!("The middle {part_width:.0} x {part_height:.0} of {width} x {height} px")
    };
    let [.., placed_width, placed_height] = geometry.placed_px;
    let bars = if [placed_width, placed_height] == geometry.clip_px { "" } else { ", black around it" };
    let scale = geometry.scale();
    let how = if (scale - 1.0).abs() < 1e-3 {
        "not scaled".to_owned()
    } else if scale < 1.0 {
        format!("made {:.2} times smaller by averaging light", scale.recip())
    } else {
        format!("made {scale:.2} times larger, which adds no detail")
    };
    format!("{part}, {how}{bars}.")
}

/// Where the colours come from.
pub(in crate::tell) fn colours(colours: ClipColours, inside_raw: bool) -> String {
    let source = if inside_raw { "as in the finished pictures inside the raw files" } else { "as in the files" };
    match colours {
        ClipColours::Finished { is_adobe_rgb: false } => format!("Colours {source}."),
        ClipColours::Finished { is_adobe_rgb: true } => format!(
            "Colours {source}, which are in Adobe RGB and shown as if in sRGB: a little paler than they were taken."
        ),
        ClipColours::Linear { black, white, balanced } => {
            let balance = if balanced { ", balanced to the camera's white, without its colour matrix" } else { "" };
            format!(
                "The files hold light: {black:.4} is shown as black and {white:.4} as white in every frame, by the sRGB curve{balance}."
            )
        }
    }
}

fn evenness(facts: &ClipFacts) -> String {
    let Some(evenness) = &facts.evenness else { return "Exposure changes are shown as they were.".to_owned() };
    let [low, high] = evenness.factors;
    if low > 1.0 - SEEN && high < 1.0 + SEEN {
        return "Exposure changes were looked for, and none needed evening out.".to_owned();
    }
    let basis = if evenness.by_settings {
        let times = if evenness.steps == 1 { "1 change".to_owned() } else { format!("{} changes", evenness.steps) };
        format!("{times} of settings, and scatter of the shutter up to 10 %")
    } else {
        "the background alone, for not every frame names its settings: sudden changes of the sky itself may be evened out too"
            .to_owned()
    };
    format!(
        "Exposure evened out by the measured background: red, green and blue light times {low:.2} to {high:.2} ({basis})."
    )
}

/// What stands beside the clip.
pub(super) fn caption(request: &ClipRequest, facts: &ClipFacts, edits: &[String]) -> String {
    let times = [facts.first.as_deref(), facts.last.as_deref()];
    caption_of(request.place.as_deref(), request.credit.as_deref(), times, edits)
}

/// Place, first and last time, credit and every edit, line by line.
pub(in crate::tell) fn caption_of(
    place: Option<&str>,
    credit: Option<&str>,
    [first, last]: [Option<&str>; 2],
    edits: &[String],
) -> String {
    let mut lines = Vec::new();
    let text = |text: Option<&str>| text.map(str::trim).filter(|text| !text.is_empty()).map(str::to_owned);
    let when = match (first, last) {
        (Some(first), Some(last)) if first != last => Some(format!("{first} to {last}")),
        (first, _) => first.map(str::to_owned),
    };
    let head: Vec<String> = [text(place), when].into_iter().flatten().collect();
    if !head.is_empty() {
        lines.push(head.join(", "));
    }
    lines.extend(credited(credit));
    lines.push("What was done to it:".to_owned());
    lines.extend(edits.iter().map(|edit| format!("- {edit}")));
    lines.join("\n")
}
