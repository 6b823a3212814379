use std::panic::{AssertUnwindSafe, catch_unwind};

use crate::{FileKind, FrameError};

/// Runs a foreign decoder; its panic becomes an error.
///
/// Nothing it worked on is used afterwards, so unwind safety is not at stake. A panic hook still runs and may print.
pub(crate) fn guarded<T>(kind: FileKind, work: impl FnOnce() -> Result<T, FrameError>) -> Result<T, FrameError> {
    match catch_unwind(AssertUnwindSafe(work)) {
        Ok(result) => result,
        Err(_panic) => Err(FrameError::DecoderFailed { kind }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_becomes_an_error() {
        let nothing: [u8; 0] = [];
        let place = nothing.len();
        let result = guarded(FileKind::Gif, || Ok(nothing[place]));
        assert_eq!(result, Err(FrameError::DecoderFailed { kind: FileKind::Gif }));
    }
}
