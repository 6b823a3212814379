//! Measuring behind the intake: the oldest first, some workers at a time.

use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use feeds::Settings;
use jiff::Timestamp;
use job::{Activity, DeskClaim, Fingerprint, OwnWord};
use journal::{Claim, Journal, MeasuredSubmission, SubmissionId};
use tokio::sync::watch;

use super::surroundings::{Surroundings, own_word_about};
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
    /// For looking at, as JPEG: the small one and the large one.
    copies: Vec<Vec<u8>>,
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
                    let own_word = own_word_about(journal, &asked_claim(&claim))?;
                    Ok((*id, hash, name, claim, (activity, own_word)))
                })
                .collect::<Result<_, Failure>>()?;
            let found: Vec<Result<Found, Failure>> = std::thread::scope(|scope| {
                let running: Vec<_> = asked
                    .into_iter()
                    .map(|(id, hash, name, claim, known)| {
                        scope.spawn(move || measure(stock, id, (hash, name), claim, known))
                    })
                    .collect();
                running.into_iter().filter_map(|one| one.join().ok()).collect()
            });
            for (found, (_, hash, name)) in found.into_iter().zip(some) {
                let Found { id, claim, measured, print, copies } = found?;
                keep_copies(journal, stock, id, hash, &copies)?;
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

/// Keeps the copies for looking at, unless the picture was erased while its worker had it: in one transaction, so that
/// whoever erases comes either before, or afterwards and removes them.
fn keep_copies(
    journal: &mut Journal,
    stock: &Stock,
    id: SubmissionId,
    hash: &str,
    copies: &[Vec<u8>],
) -> Result<(), Failure> {
    let [small, view] = copies else { return Ok(()) };
    journal.transaction(|journal| {
        if journal.submission(id)?.erased_at.is_some() {
            return Ok(());
        }
        stock.keep_copy(hash, StockedCopy::Small, small)?;
        stock.keep_copy(hash, StockedCopy::View, view)
    })
}

/// What a claim is set against: its time and place, meant as exactly as usual.
fn asked_claim(claim: &Claim) -> DeskClaim {
    DeskClaim { at: claim.at, position: claim.position, ..DeskClaim::default() }
}

fn measure(
    stock: &Stock,
    id: SubmissionId,
    (hash, name): (&str, &str),
    claim: Claim,
    (activity, own_word): (Option<Activity>, OwnWord),
) -> Result<Found, Failure> {
    let asked = Asked { name: name.to_owned(), task: Task::Measure, claim: asked_claim(&claim), activity, own_word };
    let answer = worker::ask(&asked, &stock.original(hash))?;
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
    Ok(Found { id, claim, measured, print: said.print, copies: answer.copies })
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

#[cfg(test)]
mod tests {
    use journal::{Door, NewSubmission};

    use super::*;

    #[test]
    fn what_was_erased_meanwhile_is_not_kept() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("journal.sqlite");
        let (mut journal, stock) = (Journal::open(&path).unwrap(), Stock::beside(&path));
        let hash = "ab".repeat(32);
        let new = NewSubmission {
            content_hash: hash.clone(),
            file_name: "IMG_1.jpg".to_owned(),
            media_type: "image/jpeg".to_owned(),
            bytes: 3,
            received_at: "2026-03-15T01:00:00Z".parse().unwrap(),
            door: Door::Link,
            link: None,
            claim: Claim::default(),
            credit_name: "A. Viewer".to_owned(),
            contact: String::new(),
            caption: String::new(),
            withdrawal_hash: None,
        };
        let id = journal.take_submission(&new).unwrap();
        let copies = [b"small".to_vec(), b"view".to_vec()];
        let paths = [stock.copy(&hash, StockedCopy::Small), stock.copy(&hash, StockedCopy::View)];
        keep_copies(&mut journal, &stock, id, &hash, &copies).unwrap();
        assert!(paths.iter().all(|path| path.is_file()));
        let asked = crate::desk::Withdrawal { words: "take it down", erase: true, by: "desk" };
        crate::desk::withdraw(&mut journal, &stock, id, &asked, new.received_at).unwrap();
        assert!(!paths.iter().any(|path| path.exists()));
        // the worker that had it ends now
        keep_copies(&mut journal, &stock, id, &hash, &copies).unwrap();
        assert!(!paths.iter().any(|path| path.exists()));
    }
}
