//! Rows of a reading that was stopped: a file that grows while pictures are measured, and goes when the reading is done.
//!
//! A record is two lengths (u32, little-endian: bytes of JSON, numbers of light), sixteen characters of the SHA-256 of what follows,
//! the JSON, and the light as f32. One that a kill cut short does not match its hash: it and what follows are dropped.

use std::collections::HashMap;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{BufReader, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

use serde::{Deserialize, Serialize};

use super::pictures::Row;
use crate::sorting::content_hash;

/// Bytes before the JSON of a record: two lengths and a hash.
const HEAD_BYTES: usize = 24;
/// Characters of a hash that stand in the head.
const HASH_CHARS: usize = 16;
/// Largest parts of a record: JSON of hundreds of pictures, and their light.
const MOST_JSON_BYTES: u32 = 64_000_000;
const MOST_NUMBERS: u32 = 256_000_000;
/// Rows of a reading that nobody took up again are removed after this.
const LONGEST_KEPT: Duration = Duration::from_hours(14 * 24);
/// Ending of the files.
const ENDING: &str = "rows";

#[derive(Serialize, Deserialize)]
struct Record {
    hash: String,
    rows: Vec<Row>,
}

/// Why rows are not kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NotKept {
    /// Another reading of the same files with the same question holds them.
    InUse,
    /// The folder takes no file, or none that could be locked.
    NoFile,
}

/// Rows by the content of their file.
#[derive(Debug)]
pub(super) struct KeptRows {
    path: PathBuf,
    file: File,
    /// Where each record begins.
    places: HashMap<String, u64>,
    end: u64,
    known: usize,
}

impl KeptRows {
    /// Rows of one file that are kept together at most.
    pub(super) const MOST_IN_A_FILE: usize = 256;

    /// Opens the rows of a question in a folder, for this reading alone: two that wrote to one file would cut each other's records.
    ///
    /// # Errors
    ///
    /// Another reading of the same question runs, or the folder takes no file; the reading then goes without.
    pub(super) fn open(folder: &Path, question: &str) -> Result<Self, NotKept> {
        std::fs::create_dir_all(folder).map_err(|_cause| NotKept::NoFile)?;
        remove_old(folder);
        let path = folder.join(format!("{}.{ENDING}", content_hash(question.as_bytes())));
        let file = OpenOptions::new().read(true).write(true).create(true).truncate(false).open(&path);
        let file = file.map_err(|_cause| NotKept::NoFile)?;
        // the system takes the lock away with the file, also when the program is killed
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => return Err(NotKept::InUse),
            Err(TryLockError::Error(_)) => return Err(NotKept::NoFile),
        }
        let mut kept = Self { path, file, places: HashMap::new(), end: 0, known: 0 };
        kept.index();
        kept.known = kept.places.len();
        Ok(kept)
    }

    /// Files whose rows were there before.
    pub(super) fn known(&self) -> usize {
        self.known
    }

    /// Finds the records that are whole, and where the next one goes.
    fn index(&mut self) {
        let Ok(file) = self.file.try_clone() else { return };
        let mut from = BufReader::new(file);
        while let Some((record, bytes)) = read_record(&mut from) {
            self.places.insert(record.hash, self.end);
            self.end += bytes;
        }
        let _as_far_as_it_goes = self.file.set_len(self.end);
    }

    /// The rows of a file, where they are known.
    pub(super) fn rows_of(&mut self, hash: &str) -> Option<Vec<Row>> {
        let place = *self.places.get(hash)?;
        self.file.seek(SeekFrom::Start(place)).ok()?;
        Some(read_record(&mut self.file)?.0.rows)
    }

    /// Adds the rows of a file. A disk that takes no more costs the next run its time, and nothing else.
    pub(super) fn keep(&mut self, hash: &str, rows: &[Row]) {
        let Some(record) = written(hash, rows) else { return };
        let is_kept = self.file.seek(SeekFrom::Start(self.end)).and_then(|_| self.file.write_all(&record)).is_ok();
        if is_kept {
            self.places.insert(hash.to_owned(), self.end);
            self.end += record.len() as u64;
        } else {
            let _as_far_as_it_goes = self.file.set_len(self.end);
        }
    }

    /// Ends the keeping: what was read is in the report.
    pub(super) fn remove(self) {
        // emptied while it is locked: one that opened it meanwhile finds nothing, and not half a record
        let _as_far_as_it_goes = self.file.set_len(0);
        drop(self.file);
        let _left_for_the_next_run = std::fs::remove_file(&self.path);
    }
}

fn remove_old(folder: &Path) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    for path in entries.flatten().map(|entry| entry.path()) {
        let changed = path.metadata().and_then(|about| about.modified()).ok();
        let age = changed.and_then(|changed| SystemTime::now().duration_since(changed).ok());
        if path.extension().is_some_and(|ending| ending == ENDING) && age.is_some_and(|age| age > LONGEST_KEPT) {
            let _in_use = std::fs::remove_file(&path);
        }
    }
}

fn written(hash: &str, rows: &[Row]) -> Option<Vec<u8>> {
    let json = serde_json::to_vec(&Record { hash: hash.to_owned(), rows: rows.to_vec() }).ok()?;
    let numbers: Vec<f32> =
        rows.iter().flat_map(Row::lights).flat_map(|light| light.values().iter().copied()).collect();
    let lengths = [u32::try_from(json.len()).ok()?, u32::try_from(numbers.len()).ok()?];
    if lengths[0] > MOST_JSON_BYTES || lengths[1] > MOST_NUMBERS {
        return None;
    }
    let mut body = json;
    body.extend(numbers.iter().flat_map(|number| number.to_le_bytes()));
    let mut record = Vec::with_capacity(HEAD_BYTES + body.len());
    record.extend(lengths.iter().flat_map(|length| length.to_le_bytes()));
    record.extend(content_hash(&body).bytes().take(HASH_CHARS));
    record.extend(body);
    Some(record)
}

/// A record and its length in bytes; none where no whole one is.
fn read_record(from: &mut impl Read) -> Option<(Record, u64)> {
    let mut head = [0; HEAD_BYTES];
    read_whole(from, &mut head)?;
    let length = |at: usize| Some(u32::from_le_bytes(head.get(at..at + 4)?.try_into().ok()?));
    let [json, numbers] = [length(0)?, length(4)?];
    if json > MOST_JSON_BYTES || numbers > MOST_NUMBERS {
        return None;
    }
    let json = usize::try_from(json).ok()?;
    let bytes = json + 4 * usize::try_from(numbers).ok()?;
    let mut body = Vec::new();
    // lengths of a broken head must not be believed with memory
    from.by_ref().take(bytes as u64).read_to_end(&mut body).ok()?;
    if body.len() != bytes || content_hash(&body).as_bytes().get(..HASH_CHARS) != head.get(8..) {
        return None;
    }
    let mut record: Record = serde_json::from_slice(body.get(..json)?).ok()?;
    let mut light =
        body.get(json..)?.chunks_exact(4).map(|four| f32::from_le_bytes([four[0], four[1], four[2], four[3]]));
    for found in record.rows.iter_mut().flat_map(Row::lights_mut) {
        found.fill(&mut light)?;
    }
    Some((record, (HEAD_BYTES + bytes) as u64))
}

fn read_whole(from: &mut impl Read, into: &mut [u8]) -> Option<()> {
    let mut at = 0;
    while at < into.len() {
        match from.read(into.get_mut(at..)?) {
            Ok(0) => return None,
            Ok(count) => at += count,
            Err(error) if error.kind() == ErrorKind::Interrupted => {}
            Err(_gone) => return None,
        }
    }
    Some(())
}

impl Row {
    fn lights(&self) -> Vec<&job::SequenceLight> {
        match self {
            Self::Frame(frame) => std::iter::once(&frame.light)
                .chain(frame.look.as_ref().and_then(job::FrameLook::calibrated_light))
                .collect(),
            Self::WithoutTime(look) => look.calibrated_light().into_iter().collect(),
            Self::Skip { .. } => Vec::new(),
        }
    }

    fn lights_mut(&mut self) -> Vec<&mut job::SequenceLight> {
        match self {
            Self::Frame(frame) => std::iter::once(&mut frame.light)
                .chain(frame.look.as_mut().and_then(job::FrameLook::calibrated_light_mut))
                .collect(),
            Self::WithoutTime(look) => look.calibrated_light_mut().into_iter().collect(),
            Self::Skip { .. } => Vec::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn skip(name: &str) -> Row {
        Row::Skip { name: name.to_owned(), reason: "it says no time".to_owned() }
    }

    #[test]
    fn a_record_that_a_kill_cut_short_is_dropped_and_the_others_stay() {
        let folder = tempfile::tempdir().unwrap();
        let mut kept = KeptRows::open(folder.path(), "a question").unwrap();
        kept.keep("one", &[skip("a"), skip("b")]);
        kept.keep("two", &[skip("c")]);
        let (path, end) = (kept.path.clone(), kept.end);
        drop(kept);
        for cut in 1..20 {
            OpenOptions::new().write(true).open(&path).unwrap().set_len(end - cut).unwrap();
            let mut kept = KeptRows::open(folder.path(), "a question").unwrap();
            assert_eq!(kept.known(), 1);
            assert_eq!((kept.rows_of("one"), kept.rows_of("two")), (Some(vec![skip("a"), skip("b")]), None));
            kept.keep("two", &[skip("c")]);
            assert_eq!((kept.rows_of("two"), kept.end), (Some(vec![skip("c")]), end));
        }
        let kept = KeptRows::open(folder.path(), "a question").unwrap();
        assert_eq!(KeptRows::open(folder.path(), "a question").unwrap_err(), NotKept::InUse);
        drop(kept);
        assert!(KeptRows::open(folder.path(), "a question").is_ok());
        // another question has rows of its own
        assert_eq!(KeptRows::open(folder.path(), "another").unwrap().known(), 0);
    }
}
