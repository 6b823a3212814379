//! From what is known of the night to the verdict on each frame.

use super::duds::Night;
use super::report::{
    DudKind, DudReason, FrameSequence, FrameVerdict, ReasonCount, SequenceKind, SortReport, SortedFrame,
};
use super::request::{PersonVerdict, SortRequest};
use super::select::{self, Candidate};
use super::spread::quantile;
use super::streams::Stream;
use super::{Sorted, copies, lens_night, lights, measures, rank, words};
use crate::CheckedScene;
use crate::wording::counted;

/// XMP ratings (a person's scale of five stars; -1 is "rejected").
const BEST: i8 = 5;
const KEPT: i8 = 4;
const GOOD: i8 = 3;
const BESIDE: i8 = 2;
const REJECTED: i8 = -1;
/// Share of the keepers that are the best.
const BEST_SHARE: f64 = 1.0 / 3.0;

/// Frames from which something is said of a lens as a whole.
const LEAST_FOR_A_NOTE: usize = 8;

/// What was found on one frame.
struct Judged {
    verdict: FrameVerdict,
    reasons: Vec<DudReason>,
    why: String,
    score: Option<f64>,
    /// Index of the keeper it is like.
    like: Option<usize>,
    rating: Option<i8>,
}

pub(super) fn report(request: &SortRequest, night: &Sorted<'_>) -> SortReport {
    let frames = night.frames;
    let glare: Vec<Option<f64>> =
        (0..frames.len()).map(|index| lights::glare(frames[index], night.is_moonlit(request, index))).collect();
    let (lenses, lens_of) = lens_night::nights(frames, &night.order, &glare);
    let lamps = lights::lamps(frames, &night.streams);
    let facts = Night::new(frames, &night.streams, (&lenses, &lens_of), &lamps, &glare);
    let mut judged = first_verdicts(&facts);
    let best = keepers(request, night, &facts, &mut judged);

    let mut place_of = vec![0; frames.len()];
    for (place, index) in night.order.iter().enumerate() {
        place_of[*index] = place;
    }
    let number = |index: usize| u32::try_from(place_of[index]).unwrap_or(u32::MAX);
    let short = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
    let camera = |index: usize| night.camera_of[index].map(short);
    let mut cameras = night.cameras.clone();
    for (place, camera) in cameras.iter_mut().enumerate() {
        let of_camera = (0..frames.len()).filter(|index| night.camera_of[*index] == Some(place));
        camera.best_hfd_px = quantile(of_camera.filter_map(|index| lenses[lens_of[index]].best_hfd_px), 0.0);
    }
    let sequences = night.parts.iter().map(|part| FrameSequence {
        kind: part.kind,
        camera: part.frames.first().and_then(|index| camera(*index)),
        frames: part.frames.iter().map(|index| number(*index)).collect(),
        interval_s: part.interval_s,
        words: words::sequence(part, |index| {
            night.local(index).or_else(|| night.utc(index).map(|utc| utc.to_string().replace('T', " ")))
        }),
    });
    let sequences = sequences.collect();
    let count = |verdict| short(judged.iter().filter(|judged| judged.verdict == verdict).count());
    let mut report = SortReport {
        summary: String::new(),
        frames_total: short(frames.len()),
        keepers: count(FrameVerdict::Keep),
        duds: count(FrameVerdict::Dud),
        spare: count(FrameVerdict::Spare),
        undecided: count(FrameVerdict::Undecided),
        reasons: reasons(&judged),
        best: best.iter().map(|index| number(*index)).collect(),
        frames: Vec::with_capacity(frames.len()),
        sequences,
        cameras,
        notes: notes(request, night, &facts),
    };
    let mut judged: Vec<Option<Judged>> = judged.into_iter().map(Some).collect();
    for index in &night.order {
        let Some(found) = judged[*index].take() else { continue };
        let frame = &frames[*index];
        let mut measures = measures::row(&frame.report);
        measures.lamp_share = lamps[*index].map(|lamp| lamp.0);
        measures.glare_share = glare[*index];
        report.frames.push(SortedFrame {
            name: frame.name.clone(),
            companions: frame.companions.clone(),
            content_hash: frame.content_hash.clone(),
            bytes: frame.bytes,
            utc: night.utc(*index),
            local: frame.report.taken.as_ref().and_then(|taken| taken.local.clone()),
            local_corrected: night.local(*index),
            camera: camera(*index),
            sequence: short(night.part_of[*index]),
            verdict: found.verdict,
            person: frame.person,
            rating: found.rating,
            reasons: found.reasons,
            why: found.why,
            like: found.like.map(number),
            score: found.score,
            measures,
        });
    }
    report.summary = words::summary(&report);
    report
}

fn first_verdicts(facts: &Night<'_>) -> Vec<Judged> {
    let copies = copies(facts.frames);
    (0..facts.frames.len())
        .map(|index| {
            let frame = &facts.frames[index];
            let reasons = facts.reasons(index, copies[index]);
            let (verdict, why) = match frame.person {
                Some(PersonVerdict::Keep) => (FrameVerdict::Keep, "you kept it".to_owned()),
                Some(PersonVerdict::Dud) => (FrameVerdict::Dud, "you called it a dud".to_owned()),
                Some(PersonVerdict::Undecided) => (FrameVerdict::Undecided, "you left it open".to_owned()),
                None if !reasons.is_empty() => {
                    let said: Vec<&str> = reasons.iter().map(|reason| reason.words.as_str()).collect();
                    (FrameVerdict::Dud, said.join("; "))
                }
                None if nothing_known(facts, index) => {
                    (FrameVerdict::Undecided, format!("cannot be judged: {}", frame.report.scene_why))
                }
                None => match facts.doubt(index).filter(|_| facts.shows_aurora()) {
                    Some(doubt) => (FrameVerdict::Undecided, doubt),
                    None => (FrameVerdict::Spare, String::new()),
                },
            };
            let rating = (verdict == FrameVerdict::Dud).then_some(REJECTED);
            Judged { verdict, reasons, why, score: None, like: None, rating }
        })
        .collect()
}

/// Whether the scene cannot be told and no aurora is in it.
fn nothing_known(facts: &Night<'_>, index: usize) -> bool {
    let report = &facts.frames[index].report;
    report.scene == CheckedScene::CannotTell && !measures::is_of_the_night(report)
}

/// Chooses the keepers and says of every good frame how it stands to them. Returns their indices, the best first.
fn keepers(request: &SortRequest, night: &Sorted<'_>, facts: &Night<'_>, judged: &mut [Judged]) -> Vec<usize> {
    let may = |judged: &Judged, index: usize, any_hour: bool| match judged.verdict {
        FrameVerdict::Keep => true,
        FrameVerdict::Spare => any_hour || measures::is_of_the_night(&facts.frames[index].report),
        FrameVerdict::Dud | FrameVerdict::Undecided => false,
    };
    // a folder without any frame of the night is sorted all the same
    let any_hour = !judged.iter().enumerate().any(|(index, judged)| may(judged, index, false));
    let counts: Vec<bool> = judged.iter().enumerate().map(|(index, judged)| may(judged, index, any_hour)).collect();
    let parts = rank::parts(facts, &counts);
    let candidates: Vec<Candidate> = (0..facts.frames.len())
        .filter(|index| counts[*index])
        .map(|index| {
            let part = night.part_of[index];
            let one = matches!(night.parts[part].kind, SequenceKind::Burst | SequenceKind::FocusSeries);
            Candidate {
                index,
                score: parts[index].score(),
                at_s: night.times[index].map(|time| time.at_s),
                one_of: one.then_some(part),
                wanted: judged[index].verdict == FrameVerdict::Keep,
            }
        })
        .collect();
    let most = select::how_many(request.keep, candidates.len());
    let (chosen, nearest) = select::keepers(facts.frames, &candidates, most);
    let mut best: Vec<usize> = chosen.iter().map(|place| candidates[*place].index).collect();
    for (place, candidate) in candidates.iter().enumerate() {
        let judged = &mut judged[candidate.index];
        judged.score = Some(candidate.score);
        if let Some((_likeness, keeper)) = nearest[place].filter(|(likeness, _keeper)| *likeness >= select::ALIKE) {
            judged.like = best.get(keeper).copied().filter(|keeper| *keeper != candidate.index);
        }
    }
    for (rank, index) in best.iter().enumerate() {
        let judged = &mut judged[*index];
        let is_best = (rank as f64) < (BEST_SHARE * best.len() as f64).ceil();
        judged.rating = Some(if is_best { BEST } else { KEPT });
        judged.like = None;
        if judged.verdict != FrameVerdict::Keep {
            let width = measures::hfd_px(&facts.frames[*index].report);
            let width = width.zip(facts.lenses[facts.lens_of[*index]].best_hfd_px);
            judged.why = words::praise(facts.frames[*index], &parts[*index], width);
            judged.verdict = FrameVerdict::Keep;
        }
    }
    whole_panoramas(night, judged, &mut best);
    for (index, judged) in judged.iter_mut().enumerate().filter(|(index, _judged)| !counts[*index]) {
        if judged.verdict == FrameVerdict::Spare {
            judged.rating = Some(BESIDE);
            let is_by_day = facts.frames[index].report.scene == CheckedScene::Day;
            let why = if is_by_day { "by day" } else { "not of the night" };
            why.clone_into(&mut judged.why);
        }
    }
    for candidate in &candidates {
        let name = judged[candidate.index].like.map(|keeper| facts.frames[keeper].name.clone());
        let judged = &mut judged[candidate.index];
        if judged.verdict == FrameVerdict::Spare {
            judged.rating = Some(if name.is_some() { BESIDE } else { GOOD });
            judged.why = name.map_or_else(|| "good; others are better".to_owned(), |name| format!("like {name}"));
        }
    }
    best
}

/// One frame of a panorama is no picture: with one the others are kept.
fn whole_panoramas(night: &Sorted<'_>, judged: &mut [Judged], best: &mut Vec<usize>) {
    for index in best.clone() {
        let part = &night.parts[night.part_of[index]];
        if part.kind != SequenceKind::Panorama {
            continue;
        }
        for other in &part.frames {
            if judged[*other].verdict == FrameVerdict::Spare {
                judged[*other].verdict = FrameVerdict::Keep;
                judged[*other].rating = Some(KEPT);
                judged[*other].like = None;
                judged[*other].why = format!("of one panorama with {}", night.frames[index].name);
                best.push(*other);
            }
        }
    }
}

fn reasons(judged: &[Judged]) -> Vec<ReasonCount> {
    let mut kinds: Vec<DudKind> = judged
        .iter()
        .filter(|judged| judged.verdict == FrameVerdict::Dud)
        .flat_map(|judged| judged.reasons.iter().map(|reason| reason.kind))
        .collect();
    kinds.sort_unstable();
    let mut counts: Vec<ReasonCount> = kinds
        .chunk_by(|a, b| a == b)
        .filter_map(|run| Some(ReasonCount { kind: *run.first()?, frames: u32::try_from(run.len()).ok()? }))
        .collect();
    counts.sort_by_key(|count| std::cmp::Reverse(count.frames));
    counts
}

fn notes(request: &SortRequest, night: &Sorted<'_>, facts: &Night<'_>) -> Vec<String> {
    let mut notes = Vec::new();
    let without = night.times.iter().filter(|time| time.is_none()).count();
    if without > 0 && !night.frames.is_empty() {
        let count = u32::try_from(without).unwrap_or(u32::MAX);
        notes.push(format!("{} without a time: ordered by name", counted(count, "frame")));
    }
    let local = night.times.iter().flatten().filter(|time| !time.is_utc).count();
    if local > 0 {
        notes.push("no camera names its time zone: times are those of their clocks".to_owned());
    }
    for (place, camera) in night.cameras.iter().enumerate() {
        let is_of_it =
            |stream: &Stream| stream.frames.first().is_some_and(|index| night.camera_of[*index] == Some(place));
        let bodies = night.streams.iter().filter(|stream| stream.by_folder && is_of_it(stream)).count();
        if bodies > 1 {
            notes.push(format!(
                "{bodies} bodies or clocks seem to be called {}: their folders' times interleave, and no serial number tells them apart; one correction of the clock is used for all of them",
                camera.name
            ));
        }
    }
    for correction in &request.clock {
        let part = correction.camera.as_deref().unwrap_or_default().to_lowercase();
        if !part.is_empty() && !night.cameras.iter().any(|camera| camera.name.to_lowercase().contains(&part)) {
            notes.push(format!("no camera of this night is called {part:?}: that correction is not used"));
        }
    }
    for lens in facts.lenses {
        let says = lens.frames >= LEAST_FOR_A_NOTE;
        if let Some(best) = lens.best_hfd_px.filter(|best| says && lens.trail_px > *best) {
            notes.push(format!(
                "most frames with stars of {best:.1} px trail by {:.1} px: the exposure is long for this lens, and no fault of single frames",
                lens.trail_px
            ));
        }
    }
    if facts.knows_aurora() && !facts.shows_aurora() {
        notes.push("no frame shows aurora above its error bar".to_owned());
    }
    notes
}
