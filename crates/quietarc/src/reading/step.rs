use std::path::PathBuf;

use quantity::Timestamp;

/// What is done next in a sequence that is read.
#[derive(Debug)]
pub(crate) enum ReadStep<'a> {
    /// The files are in order: so many.
    Ordered(usize),
    /// A frame is taken in.
    Frame(&'a FrameAt),
    /// A file is done, whether it could be read or not.
    FileDone,
}

/// Where a frame is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct FrameAt {
    /// Its file.
    pub(crate) path: PathBuf,
    /// Which of the pictures in it, from 0.
    pub(crate) inner: usize,
    /// Middle of its exposure.
    pub(crate) at: Timestamp,
}
