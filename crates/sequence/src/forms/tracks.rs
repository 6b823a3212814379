//! Looks at one picture after another, followed region by region and cut into stretches of one form.

use quantity::{Horizontal, Timestamp};

use super::regions::RegionForm;
use super::stretch::{Family, FormStretch, Looks};
use super::tell::FormAnswer;

/// Farthest that the middle of a region's light is looked for in the next look, degrees (judgement: the middle of a form that grows
/// along its length moves by tens of degrees).
const REACH_DEG: f64 = 25.0;
/// Time without a look after which nothing is followed any more, s (judgement).
const LONGEST_GAP_S: f64 = 600.0;
/// Looks without a region after which it has ended (judgement: one or two may be cloud).
const LOST_AFTER: u32 = 3;
/// Looks of another form that make a new stretch: one or two may be a fold, a cloud or an error. Where looks are a minute apart or
/// more, each stands for itself, because forms change in less.
const CHANGED_AFTER: u32 = 3;
const SPARSE_S: f64 = 60.0;
/// Open looks, one after another, that end what was told before, and those of looks that are a minute apart or more (judgements: twice
/// as patient as with another form, for an open look says nothing against the last one).
const OPEN_AFTER: u32 = 6;
const OPEN_AFTER_SPARSE: u32 = 3;
/// Regions followed at a time, more than are told of one picture: memory is bounded.
const MOST_TRACKS: usize = 8;

/// Follows regions of light over looks, which come in order of time.
///
/// What is held does not grow with the number of looks, but with that of the stretches.
#[derive(Debug, Default)]
pub struct FormTracks {
    open: Vec<Track>,
    done: Vec<FormStretch>,
    last: Option<Timestamp>,
}

/// A region that is being followed.
#[derive(Debug, Default)]
struct Track {
    looks: Looks,
    /// Looks that may be the begin of another stretch.
    change: Option<Looks>,
    missed: u32,
}

impl FormTracks {
    /// Takes in what one picture says, region by region.
    pub fn push(&mut self, at: Option<Timestamp>, forms: &[RegionForm]) {
        let gap_s = at.zip(self.last).map(|(at, last)| at.duration_since(last).as_secs_f64());
        if gap_s.is_some_and(|gap_s| gap_s > LONGEST_GAP_S) || at.is_none() {
            self.end_all();
        }
        self.last = at.or(self.last);
        let is_sparse = gap_s.is_some_and(|gap_s| gap_s >= SPARSE_S);
        let mut is_taken = vec![false; self.open.len()];
        for form in forms.iter().filter(|form| !matches!(form.answer, FormAnswer::NoAurora(_))) {
            if form.is_whole && matches!(form.answer, FormAnswer::CannotTell(_)) && !self.open.is_empty() {
                // light that is no one form leaves every region open
                for (track, taken) in self.open.iter_mut().zip(&mut is_taken).filter(|(_, taken)| !**taken) {
                    *taken = true;
                    track.push(at, form, is_sparse, &mut self.done);
                }
                continue;
            }
            let nearest = self.nearest(form.middle, &is_taken);
            match nearest {
                Some(index) => {
                    is_taken[index] = true;
                    self.open[index].push(at, form, is_sparse, &mut self.done);
                }
                None if self.open.len() < MOST_TRACKS => {
                    let mut track = Track::default();
                    track.push(at, form, is_sparse, &mut self.done);
                    self.open.push(track);
                    is_taken.push(true);
                }
                None => {}
            }
        }
        for (track, taken) in self.open.iter_mut().zip(is_taken) {
            track.missed = if taken { 0 } else { track.missed + 1 };
        }
        let (lost, open): (Vec<_>, Vec<_>) =
            std::mem::take(&mut self.open).into_iter().partition(|track| track.missed >= LOST_AFTER);
        self.open = open;
        self.done.extend(lost.into_iter().map(Track::end));
    }

    /// The stretches in order of their begin.
    pub fn finish(mut self) -> Vec<FormStretch> {
        self.end_all();
        self.done.sort_by_key(|stretch| stretch.span);
        self.done
    }

    fn end_all(&mut self) {
        self.done.extend(std::mem::take(&mut self.open).into_iter().map(Track::end));
    }

    fn nearest(&self, middle: Option<Horizontal>, is_taken: &[bool]) -> Option<usize> {
        let off_deg = |track: &Track| match (track.looks.middle(), middle) {
            (Some(then), Some(now)) => then.separation_deg(now),
            _no_directions => 0.0,
        };
        let free = self.open.iter().enumerate().filter(|(index, _)| !is_taken.get(*index).copied().unwrap_or(true));
        let near = free.map(|(index, track)| (index, off_deg(track))).filter(|(_, off_deg)| *off_deg <= REACH_DEG);
        near.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(index, _)| index)
    }
}

impl Track {
    fn push(&mut self, at: Option<Timestamp>, form: &RegionForm, is_sparse: bool, done: &mut Vec<FormStretch>) {
        let family = match &form.answer {
            FormAnswer::Told(told) => Some(Family::of(told.name)),
            FormAnswer::CannotTell(_) | FormAnswer::NoAurora(_) => None,
        };
        let leading = self.looks.leading().map(|leading| leading.0);
        if self.looks.looks() == 0 || family == leading {
            // what was otherwise in between was no change
            if leading.is_some()
                && let Some(change) = self.change.take()
            {
                self.looks.join(change);
            }
            if self.change.is_none() {
                self.looks.push(at, &form.answer, form.middle);
                return;
            }
        }
        let change = self.change.get_or_insert_default();
        change.push(at, &form.answer, form.middle);
        let needed = if is_sparse { 1 } else { CHANGED_AFTER };
        let telling = change.telling();
        let is_new = change.leading().is_some_and(|leading| leading.1 >= needed);
        let is_open = telling == 0 && change.looks() >= if is_sparse { OPEN_AFTER_SPARSE } else { OPEN_AFTER };
        if is_new || is_open {
            if let Some(change) = self.change.take() {
                done.push(std::mem::replace(&mut self.looks, change).together());
            }
        } else if change.looks() > 2 * telling + OPEN_AFTER
            && let Some(change) = self.change.take()
        {
            self.looks.join(change);
        }
    }

    fn end(mut self) -> FormStretch {
        if let Some(change) = self.change.take() {
            self.looks.join(change);
        }
        self.looks.together()
    }
}
