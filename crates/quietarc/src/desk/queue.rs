//! Measuring behind the intake: the oldest first, some workers at a time.

use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use jiff::Timestamp;
use job::DeskClaim;
use journal::{Claim, Journal, MeasuredSubmission, SubmissionId};
use tokio::sync::watch;

use super::worker::{self, Asked, Task};
use super::{Stock, StockedCopy};
use crate::{Failure, output};

/// Submissions looked up at once.
const BATCH: u32 = 16;
/// How often the journal is asked while nothing is waiting: another program may have put something in.
const ASKED_EVERY: Duration = Duration::from_secs(1);

/// What a worker found for a claim.
struct Found {
    id: SubmissionId,
    claim: Claim,
    measured: MeasuredSubmission,
}

/// Measures what waits, once through; gives how many, and tells of each.
///
/// # Errors
///
/// No worker can be started; the journal cannot be read or written.
pub(crate) fn measure_waiting(
    journal: &mut Journal,
    stock: &Stock,
    stop: &AtomicBool,
    each: &mut dyn FnMut(SubmissionId, &str, Option<&str>),
) -> Result<usize, Failure> {
    let mut done = 0;
    while !stop.load(Ordering::Relaxed) {
        let waiting = journal.unmeasured_submissions(BATCH)?;
        if waiting.is_empty() {
            break;
        }
        for some in waiting.chunks(workers()) {
            let asked: Vec<_> = some
                .iter()
                .map(|(id, hash, name)| Ok((*id, hash, name, journal.submission(*id)?.editable.claim)))
                .collect::<Result<_, Failure>>()?;
            let found: Vec<Result<Found, Failure>> = std::thread::scope(|scope| {
                let running: Vec<_> = asked
                    .into_iter()
                    .map(|(id, hash, name, claim)| {
                        scope.spawn(move || Ok(Found { id, measured: measure(stock, hash, name, &claim)?, claim }))
                    })
                    .collect();
                running.into_iter().filter_map(|one| one.join().ok()).collect()
            });
            for (found, (_, _, name)) in found.into_iter().zip(some) {
                let Found { id, claim, measured } = found?;
                // a claim that changed meanwhile keeps it in the queue
                journal.record_submission_measures(id, &claim, &measured, Timestamp::now())?;
                each(id, name, measured.problem.as_deref());
                done += 1;
            }
        }
    }
    Ok(done)
}

/// Half the processors: the other half answers the desk.
fn workers() -> usize {
    std::thread::available_parallelism().map_or(1, NonZeroUsize::get).div_ceil(2)
}

fn measure(stock: &Stock, hash: &str, name: &str, claim: &Claim) -> Result<MeasuredSubmission, Failure> {
    let claim = DeskClaim { at: claim.at, position: claim.position, ..DeskClaim::default() };
    let asked = Asked { name: name.to_owned(), task: Task::Measure, claim };
    let answer = worker::ask(&asked, &stock.original(hash))?;
    if let [small, view] = answer.copies.as_slice() {
        stock.keep_copy(hash, StockedCopy::Small, small)?;
        stock.keep_copy(hash, StockedCopy::View, view)?;
    }
    let said = answer.said;
    Ok(MeasuredSubmission {
        problem: said.problem.map(|problem| super::line(&problem)),
        size_px: said.size_px,
        measures: said.measures,
        evidence: said.evidence,
        outcome: said.outcome,
    })
}

/// The queue of a running server.
pub(crate) struct Queue {
    changed: watch::Sender<u64>,
    stop: AtomicBool,
    journal: PathBuf,
}

impl Queue {
    /// Of this journal; nothing runs yet.
    pub(crate) fn new(journal: &Path) -> Self {
        Self { changed: watch::channel(0).0, stop: AtomicBool::new(false), journal: journal.to_owned() }
    }

    /// Tells whoever listens that a submission has come or changed.
    pub(crate) fn tell(&self) {
        self.changed.send_modify(|count| *count += 1);
    }

    /// Hears of changes.
    pub(crate) fn listen(&self) -> watch::Receiver<u64> {
        self.changed.subscribe()
    }

    /// Ends the work after the pictures that are open.
    pub(crate) fn stop(&self) {
        self.stop.store(true, Ordering::Relaxed);
        self.tell();
    }

    /// Whether it is at its end.
    pub(crate) fn is_stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    /// Measures what comes until stopped.
    pub(crate) fn work(&self) {
        let stock = Stock::beside(&self.journal);
        let mut last_told = String::new();
        let mut journal = Journal::open(&self.journal);
        while !self.is_stopped() {
            let round = match &mut journal {
                Ok(journal) => measure_waiting(journal, &stock, &self.stop, &mut |_id, _name, _problem| self.tell()),
                Err(_closed) => {
                    journal = Journal::open(&self.journal);
                    Ok(0)
                }
            };
            // said once, not every second
            if let Err(failure) = round
                && failure.message != last_told
            {
                output::note(&format!("submissions wait: {}\nhint: {}", failure.message, failure.hint));
                last_told = failure.message;
            }
            std::thread::sleep(ASKED_EVERY);
        }
    }
}
