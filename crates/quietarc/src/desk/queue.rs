//! Measuring behind the intake: the oldest first, some workers at a time.

use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use feeds::Settings;
use jiff::Timestamp;
use job::{Activity, DeskClaim, Fingerprint};
use journal::{Claim, Journal, MeasuredSubmission, SubmissionId};
use tokio::sync::watch;

use super::surroundings::Surroundings;
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
    print: Option<Fingerprint>,
}

/// Measures what waits, once through; gives how many, and tells of each.
///
/// # Errors
///
/// No worker can be started; the journal cannot be read or written.
pub(crate) fn measure_waiting(
    journal: &mut Journal,
    stock: &Stock,
    around: &mut Surroundings,
    stop: &AtomicBool,
    each: &mut dyn FnMut(SubmissionId, &str, Option<&str>),
) -> Result<usize, Failure> {
    let mut done = 0;
    around.ask_feeds_again();
    while !stop.load(Ordering::Relaxed) {
        let waiting = journal.unmeasured_submissions(BATCH)?;
        if waiting.is_empty() {
            break;
        }
        for some in waiting.chunks(workers()) {
            let asked: Vec<_> = some
                .iter()
                .map(|(id, hash, name)| {
                    let claim = journal.submission(*id)?.editable.claim;
                    let activity = match claim.at {
                        Some(at) => around.activity(journal, at, Timestamp::now())?,
                        None => None,
                    };
                    Ok((*id, hash, name, claim, activity))
                })
                .collect::<Result<_, Failure>>()?;
            let found: Vec<Result<Found, Failure>> = std::thread::scope(|scope| {
                let running: Vec<_> = asked
                    .into_iter()
                    .map(|(id, hash, name, claim, activity)| {
                        scope.spawn(move || {
                            let (measured, print) = measure(stock, hash, name, &claim, activity)?;
                            Ok(Found { id, claim, measured, print })
                        })
                    })
                    .collect();
                running.into_iter().filter_map(|one| one.join().ok()).collect()
            });
            for (found, (_, _, name)) in found.into_iter().zip(some) {
                let Found { id, claim, measured, print } = found?;
                // a claim that changed meanwhile keeps it in the queue
                let is_kept = journal.record_submission_measures(id, &claim, &measured, Timestamp::now())?;
                if let Some(print) = print.filter(|_| is_kept) {
                    around.compare_with_all(journal, id, &print)?;
                }
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

fn measure(
    stock: &Stock,
    hash: &str,
    name: &str,
    claim: &Claim,
    activity: Option<Activity>,
) -> Result<(MeasuredSubmission, Option<Fingerprint>), Failure> {
    let claim = DeskClaim { at: claim.at, position: claim.position, ..DeskClaim::default() };
    let asked = Asked { name: name.to_owned(), task: Task::Measure, claim, activity };
    let answer = worker::ask(&asked, &stock.original(hash))?;
    if let [small, view] = answer.copies.as_slice() {
        stock.keep_copy(hash, StockedCopy::Small, small)?;
        stock.keep_copy(hash, StockedCopy::View, view)?;
    }
    let said = answer.said;
    let form = said.measures.as_ref().and_then(|measures| measures["aurora"]["form"].as_str());
    let measured = MeasuredSubmission {
        problem: said.problem.map(|problem| super::line(&problem)),
        size_px: said.size_px,
        form: form.map(super::line),
        measures: said.measures,
        evidence: said.evidence,
        outcome: said.outcome,
    };
    Ok((measured, said.print))
}

/// The queue of a running server.
pub(crate) struct Queue {
    changed: watch::Sender<u64>,
    stop: AtomicBool,
    journal: PathBuf,
    settings: Settings,
}

impl Queue {
    /// Of this journal; nothing runs yet.
    pub(crate) fn new(journal: &Path, settings: Settings) -> Self {
        Self { changed: watch::channel(0).0, stop: AtomicBool::new(false), journal: journal.to_owned(), settings }
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
        let mut around = Surroundings::new(self.settings.clone());
        let mut last_told = String::new();
        let mut journal = Journal::open(&self.journal);
        while !self.is_stopped() {
            let round = match &mut journal {
                Ok(journal) => {
                    measure_waiting(journal, &stock, &mut around, &self.stop, &mut |_id, _name, _problem| self.tell())
                }
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
