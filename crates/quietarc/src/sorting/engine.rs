//! Frames measured by several workers, each once, and kept in the journal as they come.

use std::collections::HashMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::time::{Duration, Instant, SystemTime};

use frame::RoomKeeper;
use job::{CheckRequest, FrameMeasures, MeasuredFrame, check_with_signature, pair_files};
use journal::{FrameFile, Journal, JournalError};

use super::content::{self, Content, ReadError};
use super::found::{Fault, Found, FoundFile, Stamp, pictures};
use super::progress::{Pace, Progress};
use crate::failure::Failure;

/// Results waiting to be written, a worker: some kilobytes each. While one write waits for the disk the next ones gather.
const WAITING: usize = 128;
/// Results written to the journal as one, at most.
const WRITTEN_TOGETHER: usize = 256;
/// A file changed so lately may change again within the same tick of its disk's clock (2 s on cards, FAT): its stamp proves
/// nothing yet.
const FRESH: Duration = Duration::from_secs(3);

/// What stands in the place of a content's hash where the file could not be read, with its name behind.
const UNREAD: &str = "unread ";

/// What is to be measured, and how.
pub(crate) struct Gathering<'a> {
    /// The folder of the night.
    pub(crate) folder: &'a Path,
    /// Place and kit for the measuring.
    pub(crate) asked: CheckRequest,
    /// Measure raw pictures rather than those inside or beside them.
    pub(crate) full_raw: bool,
    /// Workers.
    pub(crate) workers: usize,
    /// Stops the measuring early when it becomes true; what was measured is kept.
    pub(crate) stop: &'a AtomicBool,
}

/// A night's frames, measured.
pub(crate) struct Gathered {
    /// The frames, in the order of `files`.
    pub(crate) frames: Vec<MeasuredFrame>,
    /// The measured file of each frame, with its companions.
    pub(crate) files: Vec<Vec<FoundFile>>,
    /// What could not be read or kept.
    pub(crate) faults: Vec<Fault>,
    /// Frames measured in this run.
    pub(crate) measured: usize,
    /// Frames known from before.
    pub(crate) known: usize,
    /// Files that are no pictures by their names.
    pub(crate) others: usize,
}

/// A frame whose measures are there.
pub(crate) struct Arrival<'a> {
    pub(crate) name: &'a str,
    pub(crate) path: &'a Path,
    pub(crate) content_hash: &'a str,
}

/// One step of the measuring.
pub(crate) struct Step<'a> {
    pub(crate) progress: Progress,
    /// The frames that came with this step; at the beginning those that are known.
    pub(crate) arrived: &'a [Arrival<'a>],
    /// What could not be read or kept so far.
    pub(crate) faults: &'a [Fault],
}

/// A content by its hash, and the file as it was when it was read.
struct Seen {
    hash: String,
    stamp: Stamp,
}

/// What became of one file.
enum Outcome {
    Measured(Box<FrameMeasures>, Seen),
    /// Its content was measured before, under another name or time.
    Known(Seen),
    Failed(Fault),
}

/// Measures the frames of a folder; what the journal knows is not measured again.
///
/// # Errors
///
/// The folder cannot be read, or the journal not at all. A journal that cannot take what is measured is a fault among
/// others: the sort goes on without keeping.
pub(crate) fn gather(
    journal: &mut Journal,
    gathering: &Gathering<'_>,
    each: &mut dyn FnMut(&Step<'_>),
) -> Result<Gathered, Failure> {
    let Found { files, others, faults } = pictures(gathering.folder)?;
    let names: Vec<&str> = files.iter().map(|file| file.name.as_str()).collect();
    let pairs = pair_files(&names, gathering.full_raw);
    let question = question(gathering)?;
    let folder = gathering.folder.as_os_str().as_encoded_bytes();
    let known_files = journal.frame_files(folder)?;
    let mut slots: Vec<Option<(String, FrameMeasures)>> = Vec::with_capacity(pairs.len());
    for pair in &pairs {
        slots.push(remembered(journal, &known_files, &files[pair.main], &question));
    }
    let missing: Vec<usize> = (0..pairs.len()).filter(|index| slots[*index].is_none()).collect();
    let known = pairs.len() - missing.len();
    let remembered: Vec<Arrival<'_>> = pairs
        .iter()
        .zip(&slots)
        .filter_map(|(pair, slot)| Some(arrival(&files[pair.main], &slot.as_ref()?.0)))
        .collect();
    let progress = Progress { measured: 0, to_measure: missing.len(), known, left: None };
    each(&Step { progress, arrived: &remembered, faults: &faults });
    let mut run = Run { journal, gathering, question: &question, faults, slots, measured: 0, known };
    let jobs: Vec<(usize, &FoundFile)> = missing.iter().map(|index| (*index, &files[pairs[*index].main])).collect();
    run.measure(&jobs, each)?;
    let Run { slots, faults, measured, known, .. } = run;

    let verdicts = journal.frame_verdicts()?;
    let mut gathered = Gathered { frames: Vec::new(), files: Vec::new(), faults, measured, known, others };
    for (pair, slot) in pairs.iter().zip(slots) {
        let Some((content_hash, measures)) = slot else { continue };
        let main = &files[pair.main];
        let companions: Vec<&FoundFile> = pair.companions.iter().map(|index| &files[*index]).collect();
        let mut report = measures.report;
        report.file.clone_from(&main.name);
        gathered.frames.push(MeasuredFrame {
            name: main.name.clone(),
            companions: companions.iter().map(|file| file.name.clone()).collect(),
            person: verdicts.get(&content_hash).copied(),
            content_hash,
            bytes: main.stamp.bytes,
            report,
            signature: measures.signature,
        });
        gathered.files.push(std::iter::once(main).chain(companions).cloned().collect());
    }
    Ok(gathered)
}

/// What the measuring was told, in one line: another question is measured anew.
fn question(gathering: &Gathering<'_>) -> Result<String, Failure> {
    let asked = serde_json::to_string(&gathering.asked).map_err(|error| {
        Failure::new(format!("the question cannot be written down: {error}"), "report this as a bug")
    })?;
    let version = format!("{} {}", env!("CARGO_PKG_VERSION"), job::MEASURING_VERSION);
    Ok(format!("{version} full_raw={} {asked}", gathering.full_raw))
}

/// What the journal knows of a file that has not changed since.
fn remembered(
    journal: &Journal,
    known: &HashMap<Vec<u8>, FrameFile>,
    file: &FoundFile,
    question: &str,
) -> Option<(String, FrameMeasures)> {
    let before = known.get(file.path.as_os_str().as_encoded_bytes())?;
    let stamp = Stamp { bytes: before.bytes, modified_ns: before.modified_ns, inode: before.inode };
    if stamp != file.stamp {
        return None;
    }
    // a record of another version of the program is no loss: the frame is measured again
    let measures = journal.frame_measures(&before.content_hash, question).ok().flatten()?;
    Some((before.content_hash.clone(), measures))
}

/// A run over the files that are to be measured.
struct Run<'a> {
    journal: &'a mut Journal,
    gathering: &'a Gathering<'a>,
    question: &'a str,
    faults: Vec<Fault>,
    slots: Vec<Option<(String, FrameMeasures)>>,
    measured: usize,
    known: usize,
}

impl Run<'_> {
    fn measure(&mut self, jobs: &[(usize, &FoundFile)], each: &mut dyn FnMut(&Step<'_>)) -> Result<(), Failure> {
        if jobs.is_empty() {
            return Ok(());
        }
        let contents = self.journal.measured_contents(self.question)?;
        let next = AtomicUsize::new(0);
        let gathering = self.gathering;
        let workers = gathering.workers.clamp(1, jobs.len());
        let bytes = jobs.iter().map(|(_index, file)| file.stamp.bytes).sum();
        let mut pace = Pace::new(Instant::now(), self.known, jobs.len(), bytes);
        std::thread::scope(|scope| {
            let (sender, receiver) = sync_channel(WAITING * workers);
            for _worker in 0..workers {
                let sender = sender.clone();
                let (next, contents) = (&next, &contents);
                scope.spawn(move || {
                    let is_known = |hash: &str| contents.contains(hash);
                    work(jobs, next, gathering, &is_known, &sender);
                });
            }
            drop(sender);
            self.keep_all(&receiver, jobs, &mut pace, each);
        });
        Ok(())
    }

    /// Takes results as they come and writes those that wait together as one.
    fn keep_all(
        &mut self,
        receiver: &Receiver<(usize, Outcome)>,
        jobs: &[(usize, &FoundFile)],
        pace: &mut Pace,
        each: &mut dyn FnMut(&Step<'_>),
    ) {
        while let Ok(first) = receiver.recv() {
            let mut together = vec![first];
            while together.len() < WRITTEN_TOGETHER
                && let Ok(more) = receiver.try_recv()
            {
                together.push(more);
            }
            let kept = self.keep(&together, jobs);
            if let Err(error) = kept
                && !self.faults.iter().any(|fault| fault.name == "journal")
            {
                let remedy = format!("{}; the sort goes on, and measures these frames again next time", error.hint());
                self.faults.push(Fault::new("journal", error.to_string(), remedy));
            }
            for (job, outcome) in together {
                let (slot, file) = jobs[job];
                self.take(slot, file, outcome);
                let progress = pace.done(Instant::now(), file.stamp.bytes);
                let hash = self.slots[slot].as_ref().map_or("", |filled| filled.0.as_str());
                let arrived = (!hash.starts_with(UNREAD)).then(|| arrival(file, hash));
                each(&Step { progress, arrived: arrived.as_slice(), faults: &self.faults });
            }
        }
    }

    fn keep(&mut self, results: &[(usize, Outcome)], jobs: &[(usize, &FoundFile)]) -> Result<(), JournalError> {
        let question = self.question;
        let mut unwritable = None;
        let kept = self.journal.transaction(|journal| -> Result<(), JournalError> {
            for (job, outcome) in results {
                let file = jobs[*job].1;
                let seen = match outcome {
                    Outcome::Measured(measures, seen) => {
                        match journal.record_frame_measures(&seen.hash, question, measures) {
                            // one report that cannot be written down is no reason to lose the others
                            Err(error @ JournalError::Unreadable { .. }) => {
                                unwritable = Some(error);
                                continue;
                            }
                            other => other?,
                        }
                        seen
                    }
                    Outcome::Known(seen) => seen,
                    Outcome::Failed(_fault) => continue,
                };
                if is_settled(&seen.stamp) {
                    journal.record_frame_file(&FrameFile {
                        path: file.path.as_os_str().as_encoded_bytes().to_vec(),
                        bytes: seen.stamp.bytes,
                        modified_ns: seen.stamp.modified_ns,
                        inode: seen.stamp.inode,
                        content_hash: seen.hash.clone(),
                    })?;
                }
            }
            Ok(())
        });
        kept.and(unwritable.map_or(Ok(()), Err))
    }

    fn take(&mut self, slot: usize, file: &FoundFile, outcome: Outcome) {
        let filled = match outcome {
            Outcome::Measured(measures, seen) => {
                self.measured += 1;
                (seen.hash, *measures)
            }
            Outcome::Known(seen) => match self.journal.frame_measures(&seen.hash, self.question) {
                Ok(Some(measures)) => {
                    self.known += 1;
                    (seen.hash, measures)
                }
                Ok(None) | Err(_) => self.anew(file),
            },
            Outcome::Failed(fault) => self.failed(file, fault),
        };
        self.slots[slot] = Some(filled);
    }

    /// Measures a content whose record cannot be read.
    fn anew(&mut self, file: &FoundFile) -> (String, FrameMeasures) {
        self.measured += 1;
        let content = match content::read(&file.path) {
            Ok(content) => content,
            Err(error) => return self.failed(file, fault(file, &error)),
        };
        match measured(self.gathering, file, &content.bytes) {
            Ok(measures) => {
                let kept = self.journal.record_frame_measures(&content.hash, self.question, &measures);
                if let Err(error) = kept {
                    self.faults.push(Fault::new(&file.name, error.to_string(), error.hint()));
                }
                (content.hash, measures)
            }
            Err(fault) => self.failed(file, fault),
        }
    }

    fn failed(&mut self, file: &FoundFile, fault: Fault) -> (String, FrameMeasures) {
        let report = job::unreadable_frame(&file.name, &fault.problem, &fault.remedy);
        self.faults.push(fault);
        // no two files that could not be read are the same picture
        (format!("{UNREAD}{}", file.name), FrameMeasures { report, signature: None })
    }
}

fn arrival<'a>(file: &'a FoundFile, content_hash: &'a str) -> Arrival<'a> {
    Arrival { name: &file.name, path: &file.path, content_hash }
}

fn is_settled(stamp: &Stamp) -> bool {
    let now = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default();
    let fresh = i64::try_from(now.saturating_sub(FRESH).as_nanos()).unwrap_or(i64::MAX);
    stamp.modified_ns < fresh
}

/// One worker: file after file until there are no more, or it is told to stop.
fn work(
    jobs: &[(usize, &FoundFile)],
    next: &AtomicUsize,
    gathering: &Gathering<'_>,
    is_known: &dyn Fn(&str) -> bool,
    sender: &SyncSender<(usize, Outcome)>,
) {
    let _one_after_another = RoomKeeper::new();
    while !gathering.stop.load(Ordering::Relaxed) {
        let job = next.fetch_add(1, Ordering::Relaxed);
        let Some((_slot, file)) = jobs.get(job) else { break };
        let outcome = match content::read(&file.path) {
            Ok(Content { hash, stamp, .. }) if is_known(&hash) => Outcome::Known(Seen { hash, stamp }),
            Ok(Content { bytes, hash, stamp }) => match measured(gathering, file, &bytes) {
                Ok(measures) => Outcome::Measured(Box::new(measures), Seen { hash, stamp }),
                Err(fault) => Outcome::Failed(fault),
            },
            Err(error) => Outcome::Failed(fault(file, &error)),
        };
        if sender.send((job, outcome)).is_err() {
            break;
        }
    }
}

/// Measures a content; a panic in a measure spoils one frame and not the night.
fn measured(gathering: &Gathering<'_>, file: &FoundFile, bytes: &[u8]) -> Result<FrameMeasures, Fault> {
    let asked = CheckRequest { name: file.name.clone(), ..gathering.asked.clone() };
    let measured = catch_unwind(AssertUnwindSafe(|| check_with_signature(&asked, bytes, !gathering.full_raw)));
    measured.map_err(|_panic| {
        Fault::new(
            &file.name,
            "measuring it failed inside the program",
            "report this as a bug, with the picture if you may",
        )
    })
}

fn fault(file: &FoundFile, error: &ReadError) -> Fault {
    let (problem, remedy) = error.words();
    Fault::new(&file.name, problem, remedy)
}
