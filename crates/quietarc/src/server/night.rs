//! The night that a page sorts: one at a time, measured beside the threads that answer.

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use job::PersonVerdict;
use journal::Journal;
use serde::Serialize;
use tokio::sync::watch;

use super::frame_folders::FrameFolders;
use super::frame_pictures::Pictures;
use crate::Failure;
use crate::sorting::{Fault, NightQuestion, PreparedNight, SortedNight, Step};

/// Faults named while the sort goes on; the report has all.
const NAMED_FAULTS: usize = 12;

/// What is shared by all who look.
pub(super) struct Nights {
    pub(super) folders: FrameFolders,
    pub(super) pictures: Pictures,
    current: Mutex<Option<Arc<Night>>>,
    closing: watch::Sender<bool>,
}

impl Nights {
    pub(super) fn new(folders: FrameFolders) -> Self {
        Self { folders, pictures: Pictures::new(), current: Mutex::new(None), closing: watch::channel(false).0 }
    }

    /// The night that was asked for last.
    pub(super) fn current(&self) -> Option<Arc<Night>> {
        locked(&self.current).clone()
    }

    /// Starts a sort in the place of the one before, which is stopped. The same question again while it is worked on is that
    /// work.
    pub(super) fn start(&self, question: NightQuestion, prepared: PreparedNight, journal: &Path) -> Arc<Night> {
        let mut current = locked(&self.current);
        if let Some(night) = current.as_ref() {
            if night.question == question && night.standing.borrow().phase == Phase::Measuring {
                return Arc::clone(night);
            }
            night.stop();
        }
        let night = Arc::new(Night::new(question, &prepared));
        *current = Some(Arc::clone(&night));
        let (working, journal) = (Arc::clone(&night), journal.to_owned());
        // no thread of the runtime: that would wait for it at the end of the program
        std::thread::spawn(move || working.work(&prepared, &journal));
        night
    }

    /// Tells whoever listens that the server ends.
    pub(super) fn close(&self) {
        let _nobody_listens = self.closing.send(true);
        if let Some(night) = self.current() {
            night.stop();
        }
    }

    pub(super) fn closing(&self) -> watch::Receiver<bool> {
        self.closing.subscribe()
    }
}

/// How far a sort has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Phase {
    Measuring,
    /// The report is there; some frames are not in it where `stopped`.
    Done,
    Failed,
}

/// How a sort stands.
#[derive(Debug, Clone, Serialize)]
pub(super) struct Standing {
    pub(super) phase: Phase,
    /// What it is doing and how far it is, in words.
    pub(super) words: String,
    pub(super) measured: usize,
    pub(super) to_measure: usize,
    /// Frames known from before.
    pub(super) known: usize,
    /// Time left, s, as far as that can be said.
    pub(super) left_s: Option<u64>,
    /// Somebody ended it early.
    pub(super) stopped: bool,
    /// How many files could not be read or kept.
    pub(super) failed: usize,
    /// The last of them by name.
    pub(super) faults: Vec<FaultLine>,
    /// Why there is no report.
    pub(super) problem: Option<FaultLine>,
}

/// Something that went wrong, with its remedy.
#[derive(Debug, Clone, Serialize)]
pub(super) struct FaultLine {
    name: String,
    problem: String,
    remedy: String,
}

impl FaultLine {
    /// A failure that is of no one file.
    pub(super) fn of(failure: &Failure) -> Self {
        Self { name: String::new(), problem: failure.message.clone(), remedy: failure.hint.clone() }
    }
}

impl From<&Fault> for FaultLine {
    fn from(fault: &Fault) -> Self {
        Self { name: fault.name.clone(), problem: fault.problem.clone(), remedy: fault.remedy.clone() }
    }
}

/// A frame that can be shown.
#[derive(Debug, Clone, Serialize)]
pub(super) struct Arrived {
    name: String,
    content_hash: String,
}

/// One night.
pub(super) struct Night {
    pub(super) question: NightQuestion,
    pub(super) folder: PathBuf,
    pub(super) standing: watch::Sender<Standing>,
    /// Files by their content.
    paths: Mutex<HashMap<String, PathBuf>>,
    arrived: Mutex<Vec<Arrived>>,
    pub(super) sorted: Mutex<Option<SortedNight>>,
    stop: AtomicBool,
}

impl Night {
    fn new(question: NightQuestion, prepared: &PreparedNight) -> Self {
        let standing = Standing {
            phase: Phase::Measuring,
            words: "looking for pictures".to_owned(),
            measured: 0,
            to_measure: 0,
            known: 0,
            left_s: None,
            stopped: false,
            failed: 0,
            faults: Vec::new(),
            problem: None,
        };
        Self {
            question,
            folder: prepared.folder.clone(),
            standing: watch::channel(standing).0,
            paths: Mutex::default(),
            arrived: Mutex::default(),
            sorted: Mutex::default(),
            stop: AtomicBool::new(false),
        }
    }

    /// Ends the measuring; what was measured is kept and sorted.
    pub(super) fn stop(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }

    /// The file with a content.
    pub(super) fn path(&self, content_hash: &str) -> Option<PathBuf> {
        locked(&self.paths).get(content_hash).cloned()
    }

    /// The frames that came after the first so many.
    pub(super) fn arrived_since(&self, so_many: usize) -> Vec<Arrived> {
        locked(&self.arrived).iter().skip(so_many).cloned().collect()
    }

    fn work(&self, prepared: &PreparedNight, journal: &Path) {
        let sorted = Journal::open(journal).map_err(Failure::from).and_then(|mut journal| {
            // a journal of its own: the others need not wait
            prepared.sorted(&mut journal, None, &self.stop, &mut |step| self.take(step))
        });
        match sorted {
            Ok(night) => {
                let stopped = self.stop.load(Ordering::Relaxed);
                let words = crate::present_sort::counted(&night.gathered);
                let failed = night.gathered.faults.len();
                *locked(&self.sorted) = Some(night);
                self.standing.send_modify(|standing| {
                    *standing =
                        Standing { phase: Phase::Done, words, left_s: None, stopped, failed, ..standing.clone() };
                });
            }
            Err(failure) => self.standing.send_modify(|standing| {
                standing.phase = Phase::Failed;
                standing.problem = Some(FaultLine::of(&failure));
            }),
        }
    }

    fn take(&self, step: &Step<'_>) {
        {
            let (mut paths, mut arrived) = (locked(&self.paths), locked(&self.arrived));
            for frame in step.arrived {
                // of two files with one content one is as good to show as the other
                if paths.insert(frame.content_hash.to_owned(), frame.path.to_owned()).is_none() {
                    arrived.push(Arrived { name: frame.name.to_owned(), content_hash: frame.content_hash.to_owned() });
                }
            }
        }
        let progress = &step.progress;
        self.standing.send_modify(|standing| {
            standing.words = progress.words();
            standing.measured = progress.measured;
            standing.to_measure = progress.to_measure;
            standing.known = progress.known;
            standing.left_s = progress.left.map(|left| left.as_secs());
            if standing.failed != step.faults.len() {
                standing.failed = step.faults.len();
                standing.faults = step.faults.iter().rev().take(NAMED_FAULTS).map(FaultLine::from).collect();
            }
        });
    }

    /// Keeps what a person says about a content, and sorts again.
    ///
    /// # Errors
    ///
    /// The journal cannot keep it: nothing is changed then.
    pub(super) fn say(
        &self,
        journal: &Mutex<Journal>,
        content_hash: &str,
        verdict: Option<PersonVerdict>,
    ) -> Result<Option<Said>, Failure> {
        let mut sorted = locked(&self.sorted);
        let Some(night) = sorted.as_mut().filter(|night| holds(night, content_hash)) else { return Ok(None) };
        locked(journal).record_frame_verdict(content_hash, verdict, quantity::Timestamp::now())?;
        let before = night.report.clone();
        night.say(content_hash, verdict);
        Ok(Some(Said::between(&before, &night.report)))
    }
}

fn holds(night: &SortedNight, content_hash: &str) -> bool {
    night.report.frames.iter().any(|frame| frame.content_hash == content_hash)
}

/// A report after a verdict: what changed of it.
#[derive(Debug, Serialize)]
pub(super) struct Said {
    summary: String,
    keepers: u32,
    duds: u32,
    spare: u32,
    undecided: u32,
    reasons: Vec<job::ReasonCount>,
    best: Vec<u32>,
    notes: Vec<String>,
    /// Frames that are not as they were.
    changed: Vec<ChangedFrame>,
}

/// A frame at its place in the report.
#[derive(Debug, Serialize)]
struct ChangedFrame {
    index: usize,
    frame: job::SortedFrame,
}

impl Said {
    /// The order of frames is that of time: no verdict changes it.
    fn between(before: &job::SortReport, after: &job::SortReport) -> Self {
        let frames = after.frames.iter().enumerate();
        let changed = frames
            .filter(|(index, frame)| before.frames.get(*index) != Some(frame))
            .map(|(index, frame)| ChangedFrame { index, frame: frame.clone() })
            .collect();
        Self {
            summary: after.summary.clone(),
            keepers: after.keepers,
            duds: after.duds,
            spare: after.spare,
            undecided: after.undecided,
            reasons: after.reasons.clone(),
            best: after.best.clone(),
            notes: after.notes.clone(),
            changed,
        }
    }
}

pub(super) fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
