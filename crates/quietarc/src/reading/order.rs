//! Files in the order in which they were taken: names begin anew after 9999, and two cards have the same ones.

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use frame::read_metadata;
use quantity::Timestamp;

use super::pictures::TimedFile;
use super::{Told, middle};
use crate::frame_file;

/// Bytes of a file in which its time is looked for first, before all of it is read: heads of pictures are shorter.
const HEAD_BYTES: u64 = 1 << 18;

/// Files by the time of their first picture, then by name; those without one last.
pub(super) fn by_time(paths: Vec<PathBuf>, told: Told) -> Vec<TimedFile> {
    let mut timed: Vec<(bool, Option<Timestamp>, PathBuf)> = paths
        .into_iter()
        .map(|path| {
            let at = time_of(&path, told);
            (at.is_none(), at, path)
        })
        .collect();
    timed.sort();
    timed.into_iter().map(|(_, at, path)| TimedFile { path, at }).collect()
}

fn time_of(path: &Path, told: Told) -> Option<Timestamp> {
    let mut head = Vec::new();
    File::open(path).ok()?.take(HEAD_BYTES).read_to_end(&mut head).ok()?;
    let whole = (head.len() as u64) < HEAD_BYTES;
    middle(&read_metadata(&head), told).ok().or_else(|| {
        let all = if whole { None } else { frame_file::read(path).ok() };
        middle(&read_metadata(&all?), told).ok()
    })
}
