//! How far a stack is, step by step.

use std::cell::Cell;
use std::time::{Duration, Instant};

use job::StackKind;

use crate::telling::time_left::time_left;

/// What is being done to the frames.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum StackStep {
    /// What their files say is read: times and settings.
    Read,
    /// Frames are asked for the one that the others are laid on.
    Reference,
    /// Their stars are found and laid on those of the reference.
    Align,
    /// The usual light of each pixel is learnt.
    Learn,
    /// They are added up.
    Add,
}

impl StackStep {
    /// The steps of a kind of stack, in their order.
    fn of(kind: StackKind) -> &'static [Self] {
        match kind {
            StackKind::Mean => &[Self::Read, Self::Reference, Self::Align, Self::Learn, Self::Add],
            StackKind::BrightestSky => &[Self::Read, Self::Reference, Self::Align, Self::Add],
            StackKind::Trails => &[Self::Read, Self::Reference, Self::Add],
        }
    }

    /// In words, before "12 of 40 frames".
    fn words(self) -> &'static str {
        match self {
            Self::Read => "reading what the files say",
            Self::Reference => "asking for the frame that the others are laid on",
            Self::Align => "finding stars and laying them on",
            Self::Learn => "learning what is usual for each pixel",
            Self::Add => "adding up",
        }
    }
}

/// A word of how far it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct StackNews {
    /// "step 3 of 5, finding stars and laying them on: 12 of 40 frames, about 30 s left".
    pub(crate) words: String,
    /// Frames through the step.
    pub(crate) done: usize,
    /// Of how many.
    pub(crate) of: usize,
}

/// Says where each step begins, and then now and again how far it is.
pub(crate) struct StackProgress<'a> {
    steps: &'static [StackStep],
    every: Duration,
    tell: &'a dyn Fn(&StackNews),
    at: Cell<Option<At>>,
}

/// The step in work.
#[derive(Clone, Copy)]
struct At {
    step: StackStep,
    begun: Instant,
    told: Instant,
}

impl<'a> StackProgress<'a> {
    /// * `every`: time between two words.
    pub(super) fn new(kind: StackKind, every: Duration, tell: &'a dyn Fn(&StackNews)) -> Self {
        Self { steps: StackStep::of(kind), every, tell, at: Cell::new(None) }
    }

    /// So many frames are through a step.
    pub(super) fn step(&self, step: StackStep, done: usize, of: usize) {
        self.step_at(Instant::now(), step, done, of);
    }

    fn step_at(&self, now: Instant, step: StackStep, done: usize, of: usize) {
        let before = self.at.get().filter(|at| at.step == step);
        if before.is_some_and(|at| now.duration_since(at.told) < self.every) {
            return;
        }
        let begun = before.map_or(now, |at| at.begun);
        self.at.set(Some(At { step, begun, told: now }));
        let number = self.steps.iter().position(|other| *other == step).map_or(1, |place| place + 1);
        let most = if step == StackStep::Reference { "at most " } else { "" };
        let left = match step {
            // it may end at the first that is asked
            StackStep::Reference => String::new(),
            StackStep::Read | StackStep::Align | StackStep::Learn | StackStep::Add => {
                time_left(u64::try_from(done).unwrap_or(u64::MAX), of.saturating_sub(done), now.duration_since(begun))
            }
        };
        let words =
            format!("step {number} of {}, {}: {done} of {most}{of} frames{left}", self.steps.len(), step.words());
        (self.tell)(&StackNews { words, done, of });
    }
}

#[cfg(test)]
mod tests {
    use std::cell::RefCell;

    use super::*;

    #[test]
    fn each_step_is_told_at_its_begin_and_then_at_its_pace() {
        let said = RefCell::new(Vec::new());
        let tell = |news: &StackNews| said.borrow_mut().push((news.words.clone(), [news.done, news.of]));
        let progress = StackProgress::new(StackKind::Mean, Duration::from_secs(5), &tell);
        let begun = Instant::now();
        let at = |seconds: u64| begun + Duration::from_secs(seconds);
        progress.step_at(at(0), StackStep::Read, 0, 40);
        progress.step_at(at(1), StackStep::Read, 40, 40);
        progress.step_at(at(2), StackStep::Align, 0, 40);
        progress.step_at(at(4), StackStep::Align, 4, 40);
        // 10 in 10 s, 30 are left
        progress.step_at(at(12), StackStep::Align, 10, 40);
        progress.step_at(at(13), StackStep::Add, 0, 39);
        let said = said.into_inner();
        let words: Vec<&str> = said.iter().map(|(words, _)| words.as_str()).collect();
        assert_eq!(
            words,
            [
                "step 1 of 5, reading what the files say: 0 of 40 frames",
                "step 3 of 5, finding stars and laying them on: 0 of 40 frames",
                "step 3 of 5, finding stars and laying them on: 10 of 40 frames, about 30 s left",
                "step 5 of 5, adding up: 0 of 39 frames",
            ]
        );
        assert_eq!(said[2].1, [10, 40]);
        assert_eq!(StackStep::of(StackKind::Trails).last(), Some(&StackStep::Add));
    }
}
