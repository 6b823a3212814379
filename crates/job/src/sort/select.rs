//! The keepers: good ones that do not all show the same.

use super::request::MeasuredFrame;

/// Weight of likeness to what is chosen already against a frame's own worth (maximal marginal relevance, Carbonell and
/// Goldstein 1998).
const LIKENESS_WEIGHT: f64 = 0.5;
/// Distance of two pictures at which they are half-way to being different, stops.
const LIKE_STOPS: f64 = 0.25;
/// Likeness from which two frames show the same.
pub(super) const SAME: f64 = 0.75;
/// Likeness from which a spare frame is said to be like a keeper.
pub(super) const ALIKE: f64 = 0.5;
/// Likeness of pictures that are alike but lie hours apart: the same place, another hour.
const OTHER_HOUR: f64 = 0.7;
/// Time over which one hour becomes another, s.
const HOUR_S: f64 = 3600.0;
/// Time over which frames without a picture to compare become unlike, s.
const BLIND_S: f64 = 120.0;
/// Keepers where nobody says how many: a tenth of the good frames, within bounds.
const KEPT_SHARE: f64 = 0.1;
const KEPT: (usize, usize) = (12, 60);

/// A frame that may be kept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Candidate {
    pub(super) index: usize,
    pub(super) score: f64,
    pub(super) at_s: Option<f64>,
    /// Burst or focus series it belongs to: one of them is enough.
    pub(super) one_of: Option<usize>,
    /// A person wants it.
    pub(super) wanted: bool,
}

/// How many to keep.
pub(super) fn how_many(asked: Option<u32>, good: usize) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share of a count")]
    let share = (KEPT_SHARE * good as f64).ceil() as usize;
    asked.map_or(share.clamp(KEPT.0, KEPT.1), |asked| usize::try_from(asked).unwrap_or(usize::MAX))
}

/// How much two frames show the same, 0..1.
pub(super) fn likeness(frames: &[&MeasuredFrame], a: &Candidate, b: &Candidate) -> f64 {
    if a.one_of.is_some() && a.one_of == b.one_of {
        return 1.0;
    }
    let apart_s = a.at_s.zip(b.at_s).map(|(a, b)| (a - b).abs());
    match (&frames[a.index].signature, &frames[b.index].signature) {
        (Some(here), Some(there)) => {
            let alike = (-(here.distance_stops(there) / LIKE_STOPS).powi(2)).exp();
            let hour = apart_s.map_or(1.0, |apart_s| (apart_s / HOUR_S).min(1.0));
            alike * (1.0 - (1.0 - OTHER_HOUR) * hour)
        }
        _ => apart_s.map_or(0.0, |apart_s| (-apart_s / BLIND_S).exp()),
    }
}

/// Indices into `candidates` of the keepers, the best first, and for every candidate its greatest likeness to a keeper with
/// that keeper's place among the keepers.
pub(super) fn keepers(
    frames: &[&MeasuredFrame],
    candidates: &[Candidate],
    most: usize,
) -> (Vec<usize>, Vec<Option<(f64, usize)>>) {
    let mut nearest: Vec<Option<(f64, usize)>> = vec![None; candidates.len()];
    let mut chosen: Vec<usize> = Vec::new();
    let mut is_chosen = vec![false; candidates.len()];
    loop {
        let worth = |place: usize| {
            let likeness = nearest[place].map_or(0.0, |(likeness, _keeper)| likeness);
            candidates[place].score - LIKENESS_WEIGHT * likeness
        };
        let free = (0..candidates.len()).filter(|place| !is_chosen[*place]);
        let may = free.filter(|place| {
            let is_new = nearest[*place].is_none_or(|(likeness, _keeper)| likeness < SAME);
            candidates[*place].wanted || (is_new && chosen.len() < most)
        });
        // those that a person wants come first; of equals the earlier
        let next = may.max_by(|a, b| {
            let by_person = candidates[*a].wanted.cmp(&candidates[*b].wanted);
            by_person.then_with(|| worth(*a).total_cmp(&worth(*b))).then_with(|| b.cmp(a))
        });
        let Some(next) = next else { break };
        is_chosen[next] = true;
        for place in 0..candidates.len() {
            let alike = likeness(frames, &candidates[place], &candidates[next]);
            if place != next && nearest[place].is_none_or(|(likeness, _keeper)| alike > likeness) {
                nearest[place] = Some((alike, chosen.len()));
            }
        }
        chosen.push(next);
    }
    (chosen, nearest)
}
