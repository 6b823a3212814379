//! The pictures of many files, measured on all cores and handed on in the order of the files.
//!
//! A worker takes the next file when it is done with one. Each file has a channel of its own of some rows, and files are given out
//! only so far ahead of the one that is being taken in: what waits does not grow with the number of files.

use std::collections::VecDeque;
use std::ops::ControlFlow;
use std::path::PathBuf;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::thread::available_parallelism;

use frame::{Frame, Limits};
use job::{FrameLook, ReadFrame, ReadRequest, SequenceLens, SequenceLight};
use quantity::Timestamp;
use serde::{Deserialize, Serialize};

use super::kept::KeptRows;
use super::{Told, middle, name_of};
use crate::frame_file;
use crate::sorting::content_hash;

/// Time between frames that are looked at for aurora and its forms, s: forms of the aurora keep their shape for some seconds.
const LOOK_EVERY_S: i64 = 10;
/// Files given out ahead of the one that is taken in, for each worker.
const FILES_AHEAD: usize = 4;
/// Rows of a file that wait to be taken in.
const ROWS_AHEAD: usize = 4;

/// What one picture gave.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) enum Row {
    /// A frame of the sequence.
    Frame(Box<ReadFrame>),
    /// The look of a picture that says no time and is the only one.
    WithoutTime(Box<FrameLook>),
    /// It is left out.
    Skip { name: String, reason: String },
}

/// A file with the time of its first picture.
pub(super) struct TimedFile {
    pub(super) path: PathBuf,
    pub(super) at: Option<Timestamp>,
}

/// How files are measured.
pub(super) struct Measuring<'a> {
    pub(super) lens: &'a SequenceLens,
    pub(super) request: &'a ReadRequest,
    pub(super) told: Told,
    /// Whether there is one file alone: a picture by itself needs no place in an order.
    pub(super) is_single: bool,
}

struct Task<'a> {
    file: &'a TimedFile,
    /// Time of the file before it.
    before: Option<Timestamp>,
    rows: SyncSender<Row>,
}

/// Measures files and hands on what they gave, in their order.
///
/// * `kept`: rows of a run that was stopped; what is measured is added.
/// * `take`: given each row with its file, and none when a file is done; its `Break` ends the measuring.
pub(super) fn each_row(
    files: &[TimedFile],
    measuring: &Measuring<'_>,
    kept: Option<&Mutex<KeptRows>>,
    take: &mut dyn FnMut(&TimedFile, Option<Row>) -> ControlFlow<()>,
) -> ControlFlow<()> {
    let workers = available_parallelism().map_or(1, usize::from).clamp(1, files.len().max(1));
    let ahead = workers * FILES_AHEAD;
    let (tasks, waiting) = sync_channel::<Task<'_>>(ahead);
    let waiting = Mutex::new(waiting);
    let is_over = AtomicBool::new(false);
    std::thread::scope(|scope| {
        // gone at the end of the scope, which ends the workers
        let tasks = tasks;
        for _worker in 0..workers {
            scope.spawn(|| work(&waiting, measuring, kept, &is_over));
        }
        let mut given: VecDeque<(&TimedFile, Receiver<Row>)> = VecDeque::new();
        let mut files = files.iter();
        let mut before = None;
        loop {
            while given.len() < ahead
                && let Some(file) = files.next()
            {
                let (rows, taken) = sync_channel(ROWS_AHEAD);
                if tasks.send(Task { file, before, rows }).is_err() {
                    break;
                }
                before = file.at;
                given.push_back((file, taken));
            }
            let Some((file, rows)) = given.pop_front() else { return ControlFlow::Continue(()) };
            let mut ended = rows.into_iter().try_for_each(|row| take(file, Some(row)));
            if ended.is_continue() {
                ended = take(file, None);
            }
            if ended.is_break() {
                is_over.store(true, Ordering::Relaxed);
                return ended;
            }
        }
    })
}

fn work(
    waiting: &Mutex<Receiver<Task<'_>>>,
    measuring: &Measuring<'_>,
    kept: Option<&Mutex<KeptRows>>,
    is_over: &AtomicBool,
) {
    let _one_after_another = frame::RoomKeeper::new();
    while !is_over.load(Ordering::Relaxed) {
        // a lock that a panic left behind still holds a sound channel
        let next = waiting.lock().unwrap_or_else(std::sync::PoisonError::into_inner).recv();
        let Ok(task) = next else { return };
        measuring.file(&task, kept);
    }
}

impl Measuring<'_> {
    fn file(&self, task: &Task<'_>, kept: Option<&Mutex<KeptRows>>) {
        let name = name_of(&task.file.path);
        let bytes = match frame_file::read(&task.file.path) {
            Ok(bytes) => bytes,
            Err(fault) => return send(task, Row::Skip { name, reason: fault.message }),
        };
        let Some(kept) = kept else { return self.pictures(&name, &bytes, task, &mut |row| send(task, row)) };
        // the look of the first picture depends on the file before
        let hash = format!("{} {name} {:?}", content_hash(&bytes), task.before);
        let known = kept.lock().ok().and_then(|mut kept| kept.rows_of(&hash));
        if let Some(rows) = known {
            return rows.into_iter().for_each(|row| send(task, row));
        }
        let mut rows = Some(Vec::new());
        self.pictures(&name, &bytes, task, &mut |row| {
            // a file of very many pictures is not kept: its rows would have to be held together
            rows = rows.take().filter(|rows| rows.len() < KeptRows::MOST_IN_A_FILE);
            if let Some(rows) = &mut rows {
                rows.push(row.clone());
            }
            send(task, row);
        });
        if let Some((rows, Ok(mut kept))) = rows.map(|rows| (rows, kept.lock())) {
            kept.keep(&hash, &rows);
        }
    }

    fn pictures(&self, name: &str, bytes: &[u8], task: &Task<'_>, take: &mut dyn FnMut(Row)) {
        let mut before = task.before;
        let opened = raw::open_each(bytes, &Limits::default(), &mut |found| {
            take(match found {
                Ok(frame) => self.row(name, &frame, &mut before),
                Err(error) => Row::Skip { name: name.to_owned(), reason: format!("{error}; {}", error.hint()) },
            });
            ControlFlow::Continue(())
        });
        if let Err(error) = opened {
            take(Row::Skip { name: name.to_owned(), reason: format!("{error}; {}", error.hint()) });
        }
    }

    fn row(&self, name: &str, frame: &Frame, before: &mut Option<Timestamp>) -> Row {
        match self.frame(name, frame, before) {
            Ok(frame) => Row::Frame(Box::new(frame)),
            Err(reason) => {
                let look = self.is_single.then(|| FrameLook::of(frame, None, self.request, self.lens).ok()).flatten();
                look.map_or(Row::Skip { name: name.to_owned(), reason }, |look| Row::WithoutTime(Box::new(look)))
            }
        }
    }

    fn frame(&self, name: &str, frame: &Frame, before: &mut Option<Timestamp>) -> Result<ReadFrame, String> {
        self.measured(name, frame, middle(&frame.metadata, self.told)?, before)
    }

    /// A frame whose time is known.
    ///
    /// * `before`: time of the last frame, for whether a look is due; then this one's.
    pub(super) fn measured(
        &self,
        name: &str,
        frame: &Frame,
        at: Timestamp,
        before: &mut Option<Timestamp>,
    ) -> Result<ReadFrame, String> {
        let metadata = &frame.metadata;
        let (exposure_s, iso, f_number) = (metadata.exposure_s, metadata.iso, metadata.f_number);
        let is_due = self.lens.is_calibrated() || before.replace(at).is_none_or(|before| piece(before) != piece(at));
        let measured = if is_due {
            FrameLook::with_light(frame, Some(at), self.request, self.lens).map(|(light, look)| (light, Some(look)))
        } else {
            SequenceLight::of(frame).map(|light| (light, None))
        };
        let (light, look) = measured.map_err(|error| error.to_string())?;
        Ok(ReadFrame { name: name.to_owned(), at, exposure_s, iso, f_number, light, look })
    }
}

/// The piece of time that one look stands for: a rule that needs no memory of looks, so that workers agree on it.
fn piece(at: Timestamp) -> i64 {
    at.as_second().div_euclid(LOOK_EVERY_S)
}

fn send(task: &Task<'_>, row: Row) {
    // the taker is gone only when the reading was given up
    let _taken = task.rows.send(row);
}
