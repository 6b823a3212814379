//! What the frames and the magnetogram say.

use jiff::tz::TimeZone;

use sequence::FormName;

use super::AccountSentence;
use super::sentence::{Saying, rounded};
use crate::{ReadBrightening, ReadForm, ReadMagnetic, ReadPulsation, ReadReport};

/// Brightenings told one by one, and forms.
const TOLD: usize = 3;
/// Why patches pulsate.
const SHAKEN: &str = "pulsating aurora and waves in one place: Kasahara et al. 2018, Nature 554, 337 (from memory)";
/// Why the field snaps back.
const SNAPS: &str = "auroral substorm: Akasofu 1964, Planet. Space Sci. 12, 273 (from memory)";

pub(super) fn sentences(
    reading: &ReadReport,
    zone: &TimeZone,
    sentences: &mut Vec<AccountSentence>,
    not_known: &mut Vec<String>,
) {
    sentences.push(frames(reading, zone));
    forms(reading, zone, sentences, not_known);
    match &reading.brightenings {
        Some(found) if found.is_empty() && reading.keogram.is_some() => {
            let source = "the kept reading's search for brightenings along the keogram";
            let saying = Saying::new("brightening_1").text("Along the line that was followed it ");
            let saying = saying.word("did not brighten suddenly", source, reading.frames.first);
            sentences.push(saying.text(".").done());
        }
        Some(found) => {
            let told = found.iter().take(TOLD).enumerate();
            sentences.extend(told.map(|(i, brightening)| brightened(i + 1, brightening, zone)));
        }
        None => not_known.push("Whether it brightened suddenly: the reading could not look for that.".to_owned()),
    }
    match &reading.drift {
        Some(drift) if !drift.like_the_stars => {
            if let Some(speed) = &drift.km_per_s {
                let source = "correlation of the keogram's columns, at the height assumed";
                let saying = Saying::new("drift").text("It moved along that line at ");
                let saying = saying.estimate(speed, "km/s", source, reading.frames.first);
                sentences
                    .push(saying.text(" kilometres a second, an estimate that rests on the height assumed.").done());
            }
        }
        _ => not_known.push("How fast it moved: no motion of its own was found.".to_owned()),
    }
    match &reading.pulsation {
        Some(pulsation) if pulsation.blocks > 0 => sentences.push(pulsated(pulsation)),
        _ => not_known.push("Whether it pulsated: these frames could not tell.".to_owned()),
    }
    match &reading.magnetic {
        Some(magnetic) => {
            sentences.extend(magnetogram(reading, magnetic, zone));
            not_known.extend(magnetic.gap_words().map(|gap| {
                format!("All that the ground's magnetic field did: the magnetogram of {} {gap}.", magnetic.station)
            }));
        }
        None => not_known
            .push("What the ground's magnetic field did: no magnetogram was read beside the frames.".to_owned()),
    }
}

fn frames(reading: &ReadReport, zone: &TimeZone) -> AccountSentence {
    let frames = &reading.frames;
    let source = "the frames' own times";
    let saying = Saying::new("frames").text("The camera took ");
    let saying = saying.value(f64::from(frames.read), &frames.read.to_string(), "frames", source, frames.first);
    let saying = saying.text(" frames");
    match (frames.first, frames.last) {
        (Some(first), Some(last)) => {
            let saying = saying.text(" from ").time(first, zone, source);
            saying.text(" to ").time(last, zone, source).text(".").done()
        }
        _ => saying.text(".").done(),
    }
}

/// Whether there was aurora, and its forms in the order of their time: those that most frames told most surely.
fn forms(reading: &ReadReport, zone: &TimeZone, sentences: &mut Vec<AccountSentence>, not_known: &mut Vec<String>) {
    let aurora = &reading.aurora;
    if aurora.looked_at == 0 {
        not_known.push("Which forms it took: no frame was looked at for them.".to_owned());
        return;
    }
    let source = "colour and structure of single frames";
    let saying = Saying::new("aurora").text("Of ");
    let saying = saying.value(f64::from(aurora.looked_at), &aurora.looked_at.to_string(), "frames", source, None);
    let saying = saying.text(" frames looked at, ");
    let saying = saying.value(f64::from(aurora.yes), &aurora.yes.to_string(), "frames", source, None);
    sentences.push(saying.text(" surely showed aurora.").done());
    // patches that pulsate have a sentence of their own
    let worth = |form: &ReadForm| f64::from(form.frames) * form.confidence;
    let mut told: Vec<&ReadForm> =
        reading.forms.iter().filter(|form| form.frames > 0 && form.name.is_some() && form.from.is_some()).collect();
    told.sort_by(|a, b| worth(b).total_cmp(&worth(a)));
    told.truncate(TOLD);
    told.sort_by_key(|form| form.from);
    if told.is_empty() && aurora.yes > 0 {
        not_known.push("Which forms it took: the frames could not tell.".to_owned());
    }
    sentences.extend(told.into_iter().enumerate().filter_map(|(i, form)| formed(i + 1, form, zone)));
}

fn formed(number: usize, form: &ReadForm, zone: &TimeZone) -> Option<AccountSentence> {
    let (name, from) = (form.name?, form.from?);
    let reasons = form.reasons.join("; ");
    let source = if reasons.is_empty() { "shape and light of single frames".to_owned() } else { reasons };
    let frames = "frames that show it";
    let saying = Saying::new(&format!("form_{number}"));
    let saying = match form.to.filter(|to| *to > from) {
        Some(to) => saying.text("From ").time(from, zone, frames).text(" to ").time(to, zone, frames),
        None => saying.text("At ").time(from, zone, frames),
    };
    let saying = saying.text(" it was ").word(with_article(name), &source, Some(from)).text(", by ");
    let saying = saying.value(f64::from(form.frames), &form.frames.to_string(), "frames", frames, Some(from));
    let saying = saying.text(if form.frames == 1 {
        " frame; the name is right with a chance of "
    } else {
        " frames; the name is right with a chance of "
    });
    let chance = super::from_outlook::in_ten(quantity::Fraction::clamped(form.confidence));
    let judged = "how well the measures fit the name, a judgement";
    Some(saying.value(form.confidence, &chance, "share", judged, Some(from)).text(".").done())
}

fn with_article(name: FormName) -> &'static str {
    match name {
        FormName::Arc => "an arc",
        FormName::Band => "a band",
        FormName::ArcOrBand => "an arc or a band",
        FormName::RayedBand => "a band of rays",
        FormName::Rays => "rays",
        FormName::Corona => "a corona, rays that meet overhead",
        FormName::Veil => "a veil, light without edges",
        FormName::RedArc => "a red arc",
        FormName::StableRedArc => "a stable red arc",
        FormName::Steve => "STEVE, a narrow mauve arc",
        FormName::PicketFence => "a picket fence, green rays in a row",
        FormName::PulsatingPatches => "patches that went on and off",
    }
}

fn brightened(number: usize, brightening: &ReadBrightening, zone: &TimeZone) -> AccountSentence {
    let source = "the keogram: doubling within five minutes against the rest of the line";
    let saying = Saying::new(&format!("brightening_{number}")).text("At ").time(brightening.at, zone, source);
    let saying = saying.text(" it flared to ");
    let factor = rounded(brightening.factor);
    let saying = saying.value(brightening.factor, &factor, "times", source, Some(brightening.at));
    let saying = saying.text(" times its light against the rest of the line");
    let saying = match brightening.poleward_km_s {
        Some(speed) => {
            let source = "the keogram's poleward edge, at the height assumed";
            let saying = saying.text(", its edge moving poleward at ");
            saying.value(speed, &rounded(speed), "km/s", source, Some(brightening.at)).text(" kilometres a second")
        }
        None => saying,
    };
    let saying = match brightening.after_magnetic_onset_s {
        // seconds in the record, minutes in the words
        Some(after) => {
            let minutes = rounded(after.abs() / 60.0);
            let source = "keogram and magnetogram";
            let saying = saying.text(", ").value(after, &minutes, "s", source, Some(brightening.at));
            let which = if after < 0.0 { "before" } else { "after" };
            saying.text(&format!(" minutes {which} the field's snap on the ground"))
        }
        None => saying,
    };
    saying.text(&format!("; that makes it a {}, which one line of sky cannot prove.", name(&brightening.kind))).done()
}

fn name(kind: &str) -> &str {
    match kind {
        "substorm candidate" => "candidate for a substorm",
        other => other,
    }
}

fn pulsated(pulsation: &ReadPulsation) -> AccountSentence {
    let source = "spectra of cells of five degrees, what all share taken out";
    let periods = pulsation.patches.iter().map(|patch| patch.period_s);
    let longest = periods.clone().fold(f64::NEG_INFINITY, f64::max);
    let shortest = periods.fold(f64::INFINITY, f64::min);
    if !longest.is_finite() {
        let saying = Saying::new("pulsation").text("No pulsation was found in ");
        let cells = pulsation.cells_judged;
        return saying.value(f64::from(cells), &cells.to_string(), "cells", source, None).text(" cells of sky.").done();
    }
    let saying = Saying::new("pulsation").text("Patches of it pulsated, ").count(pulsation.patches.len(), source);
    let first = pulsation.patches.first().map(|patch| patch.from);
    let saying = saying.text(" in all, with periods of ").value(shortest, &rounded(shortest), "s", source, first);
    let saying = if longest > shortest {
        saying.text(" to ").value(longest, &rounded(longest), "s", source, first)
    } else {
        saying
    };
    let why = "waves far out above the equator shake electrons out of their orbits in bursts, one for each pulse";
    saying.text(" seconds: ").because(why, SHAKEN).text(".").done()
}

/// Of a record of a whole day, what happened beside the frames: the rest belongs to another story.
fn magnetogram(reading: &ReadReport, magnetic: &ReadMagnetic, zone: &TimeZone) -> Vec<AccountSentence> {
    let source = format!("magnetogram of {}", magnetic.station);
    let mut said = Vec::new();
    let deepest = reading.bays_beside().max_by(|a, b| a.depth_nt.abs().total_cmp(&b.depth_nt.abs()));
    if let Some(bay) = deepest {
        let saying = Saying::new("bay").text("On the ground the magnetic field fell by ");
        let depth = rounded(bay.depth_nt.abs());
        let saying = saying.value(bay.depth_nt, &depth, "nT", &source, Some(bay.from));
        let saying = saying.text(" nanotesla between ").time(bay.from, zone, &source);
        said.push(
            saying.text(" and ").time(bay.to, zone, &source).text(": the currents of the aurora overhead.").done(),
        );
    }
    if let Some(onset) = reading.onsets_beside().next() {
        let word = if onset.likely { "likely" } else { "possible" };
        let saying = Saying::new("onset").text(&format!("The field's snap, a {word} onset of a substorm, came at "));
        let saying = saying.time(onset.at, zone, &source).text(" by one station's record: ");
        let why = "the field behind the Earth, drawn out long by the wind, springs back and throws electrons at the night side";
        said.push(saying.because(why, SNAPS).text(".").done());
    }
    said
}
