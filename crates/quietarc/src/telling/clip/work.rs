//! The folder beside a clip in which finished pieces wait, so that a run that was stopped goes on.

use std::fmt::Write;
use std::fs::{File, TryLockError};
use std::path::{Path, PathBuf};
use std::sync::atomic::Ordering;

use serde::{Deserialize, Serialize};

use super::ClipTask;
use crate::failure::Failure;
use crate::sorting::{atomic, content_hash, hash_of_file};
use crate::telling::order::Item;
use crate::telling::pipeline::in_order;

/// Written into the key: another way of making pieces makes other pieces.
const MAKING: &str = concat!(env!("CARGO_PKG_VERSION"), " 2");

/// What is known of a frame that is in a finished piece, or left out of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Taken {
    /// Name, and why it was left out.
    pub(crate) left_out: Option<(String, String)>,
    /// Background of red, green and blue.
    pub(crate) background: Option<[f64; 3]>,
    /// Factors it was shown with.
    pub(crate) gains: Option<[f64; 3]>,
}

/// The folder.
pub(crate) struct Work {
    folder: PathBuf,
    /// Held while this run lasts.
    _lock: File,
}

impl Work {
    /// Opens the folder of a clip; pieces of other frames or settings are removed. `None` where the person wants an end before
    /// it is known whose pieces lie there: none of them is touched then.
    ///
    /// * `read`: told how many frames are read through.
    ///
    /// # Errors
    ///
    /// It cannot be written, or another run is at it.
    pub(crate) fn open(task: &ClipTask<'_>, items: &[Item], read: &dyn Fn(usize)) -> Result<Option<Self>, Failure> {
        let out = task.out;
        let name = out.file_name().unwrap_or_default().to_string_lossy();
        let folder = out.with_file_name(format!(".{name}.quietarc-work"));
        let fault = |error: std::io::Error| unwritable(&folder, &error);
        match std::fs::create_dir(&folder) {
            Err(error) if error.kind() != std::io::ErrorKind::AlreadyExists => return Err(fault(error)),
            _there => {}
        }
        let lock = File::create(folder.join("lock")).map_err(fault)?;
        match lock.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                return Err(Failure::new(
                    format!("{} is being made by another run", out.display()),
                    "wait for it, or give another name with --out",
                ));
            }
            // disks without locks: two runs at once are the person's own care there
            Err(TryLockError::Error(_without)) => {}
        }
        let key = key(task, items, read);
        if task.stop.load(Ordering::Relaxed) {
            return Ok(None);
        }
        let known = std::fs::read_to_string(folder.join("key")).unwrap_or_default();
        let work = Self { folder, _lock: lock };
        if known != key {
            work.empty()?;
            work.write("key", key.as_bytes())?;
        }
        Ok(Some(work))
    }

    /// Where a piece is, or will be once it is whole.
    pub(crate) fn piece(&self, number: usize) -> PathBuf {
        self.folder.join(format!("{number:05}.mp4"))
    }

    /// Where a piece is written until it is whole.
    pub(crate) fn part(&self, number: usize) -> PathBuf {
        self.folder.join(format!("{number:05}.part"))
    }

    /// What a finished piece was made of; `None` where it is not finished.
    pub(crate) fn finished(&self, number: usize) -> Option<Vec<Taken>> {
        let said = std::fs::read(self.folder.join(format!("{number:05}.json"))).ok()?;
        let taken: Vec<Taken> = serde_json::from_slice(&said).ok()?;
        // a piece of frames that were all left out has no picture
        let shown = taken.iter().any(|frame| frame.left_out.is_none());
        (!shown || self.piece(number).is_file()).then_some(taken)
    }

    /// Takes a piece as finished: its picture first, so that what is said of it is true.
    pub(crate) fn finish(&self, number: usize, taken: &[Taken]) -> Result<(), Failure> {
        if taken.iter().any(|frame| frame.left_out.is_none()) {
            std::fs::rename(self.part(number), self.piece(number)).map_err(|error| unwritable(&self.folder, &error))?;
        }
        let said = serde_json::to_vec(taken).map_err(|error| {
            Failure::new(format!("a piece cannot be written down: {error}"), "report this as a bug")
        })?;
        self.write(&format!("{number:05}.json"), &said).map(|_path| ())
    }

    /// Writes a file of the folder, whole.
    pub(crate) fn write(&self, name: &str, bytes: &[u8]) -> Result<PathBuf, Failure> {
        let path = self.folder.join(name);
        atomic::write(&path, bytes, None, false).map_err(|error| unwritable(&path, &error))?;
        Ok(path)
    }

    /// Where the clip is put together.
    pub(crate) fn whole(&self) -> PathBuf {
        self.folder.join("whole.part")
    }

    fn empty(&self) -> Result<(), Failure> {
        let fault = |error: std::io::Error| unwritable(&self.folder, &error);
        for entry in std::fs::read_dir(&self.folder).map_err(fault)? {
            let path = entry.map_err(fault)?.path();
            if path.file_name().is_none_or(|name| name != "lock") {
                std::fs::remove_file(&path).map_err(fault)?;
            }
        }
        Ok(())
    }

    /// Removes the folder: the clip is there.
    pub(crate) fn remove(self) {
        // what cannot be removed is only in the way
        let _left = std::fs::remove_dir_all(&self.folder);
    }
}

pub(super) fn unwritable(path: &Path, error: &std::io::Error) -> Failure {
    Failure::new(
        format!("{} cannot be written: {error}", path.display()),
        "give --out in a folder you can write to, with room on its disk",
    )
}

/// Settings and frames in one line: a frame by its name and its content, wherever it lies and whenever it was copied there.
fn key(task: &ClipTask<'_>, items: &[Item], read: &dyn Fn(usize)) -> String {
    let mut text = format!("{MAKING} {:?}\n", task.request);
    let hash = |number: usize| items.get(number).and_then(|item| hash_of_file(&item.path).ok());
    let _no_fault: Result<(), std::convert::Infallible> =
        in_order(0..items.len(), task.workers, task.stop, &hash, |number, hash| {
            read(number);
            let name = items.get(number).map_or("", |item| item.name.as_str());
            // writing to a String cannot fail
            let _written = writeln!(text, "{name} {hash:?}");
            Ok(())
        });
    content_hash(text.as_bytes())
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::AtomicBool;

    use job::{ClipCodec, ClipRequest, ClipSize};

    use super::*;

    #[test]
    fn an_end_before_the_frames_are_known_leaves_finished_pieces_as_they_are() {
        let folder = tempfile::tempdir().unwrap();
        let frame = folder.path().join("a.ppm");
        std::fs::write(&frame, "P6 1 1 255 abc").unwrap();
        let items = [Item { path: frame.clone(), name: "a.ppm".to_owned(), taken: None, exposure: None }];
        let request = ClipRequest {
            codec: ClipCodec::H264,
            frames_per_s: 25.0,
            size: ClipSize::Source,
            portrait: false,
            whole_frame: false,
            clock: false,
            even_exposure: false,
            credit: None,
            place: None,
        };
        let out = folder.path().join("night.mp4");
        let open = |stop: &AtomicBool| {
            let task = ClipTask {
                inputs: std::slice::from_ref(&frame),
                out: &out,
                replace: false,
                request: &request,
                utc_offset_s: None,
                workers: 1,
                stop,
                noted_every: std::time::Duration::from_secs(1),
            };
            Work::open(&task, &items, &|_done| ()).unwrap()
        };
        let taken = [Taken { left_out: None, background: None, gains: None }];
        let work = open(&AtomicBool::new(false)).unwrap();
        std::fs::write(work.part(0), "piece").unwrap();
        work.finish(0, &taken).unwrap();
        drop(work);
        assert!(open(&AtomicBool::new(true)).is_none());
        let work = open(&AtomicBool::new(false)).unwrap();
        assert_eq!(work.finished(0).unwrap(), taken);
    }
}
