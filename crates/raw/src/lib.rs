//! Pictures of every kind that `frame` opens, and with the feature `makers` the makers' own raw packings too.
//!
//! **What it does not do:** it touches no file and measures nothing. The decoder behind `makers` (rawler) is under the
//! LGPL-2.1 and large, which is why it stands apart.
//!
//! ```
//! use frame::Limits;
//!
//! let frame = raw::open(b"P5\n1 1\n255\n\x80", &Limits::default())?;
//! assert_eq!(frame.stored_size, [1, 1]);
//! # Ok::<(), frame::FrameError>(())
//! ```

#[cfg(feature = "makers")]
mod makers;

use std::ops::ControlFlow;

use frame::{FileKind, Frame, FrameError, Limits, Stack};
#[cfg(feature = "makers")]
pub mod fuzz;
#[cfg(feature = "makers")]
pub use makers::unpack;

/// Opens a picture; a raw file in its maker's packing by the second decoder, where that is built in.
///
/// What `frame` reads by itself is never given to the second decoder. Where that fails, the JPEG beside the raw picture
/// is given, with a note of both.
///
/// # Errors
///
/// Those of [`frame::open`].
pub fn open(bytes: &[u8], limits: &Limits) -> Result<Frame, FrameError> {
    looked_again(frame::open(bytes, limits), bytes, limits)
}

/// [`frame::open_stack`], a raw file as [`open`] opens it.
///
/// # Errors
///
/// Those of [`frame::open_stack`].
pub fn open_stack(bytes: &[u8], limits: &Limits) -> Result<Stack, FrameError> {
    let mut count = 1;
    let plain = frame::open_stack(bytes, limits).map(|stack| {
        count = stack.count;
        stack.frame
    });
    looked_again(plain, bytes, limits).map(|frame| Stack { frame, count })
}

/// [`frame::open_each`], a raw file as [`open`] opens it.
///
/// # Errors
///
/// Those of [`frame::open_each`].
pub fn open_each(
    bytes: &[u8],
    limits: &Limits,
    each: &mut dyn FnMut(Result<Frame, FrameError>) -> ControlFlow<()>,
) -> Result<(), FrameError> {
    frame::open_each(bytes, limits, &mut |plain| each(looked_again(plain, bytes, limits)))
}

fn looked_again(plain: Result<Frame, FrameError>, bytes: &[u8], limits: &Limits) -> Result<Frame, FrameError> {
    if is_packed(&plain) { second_look(plain, bytes, limits) } else { plain }
}

/// Whether a raw file was not unpacked: refused, or its JPEG taken in its place.
fn is_packed(opened: &Result<Frame, FrameError>) -> bool {
    match opened {
        Ok(frame) => matches!(frame.kind, FileKind::Dng | FileKind::CameraRaw) && !frame.linearity.is_linear(),
        Err(error) => matches!(error, FrameError::PackedRaw { .. }),
    }
}

#[cfg(feature = "makers")]
fn second_look(plain: Result<Frame, FrameError>, bytes: &[u8], limits: &Limits) -> Result<Frame, FrameError> {
    match unpack(bytes, limits) {
        Ok(frame) => Ok(frame),
        Err(error) => plain.map(|mut frame| {
            frame.notes.push(format!("the second decoder says: {error}"));
            frame
        }),
    }
}

#[cfg(not(feature = "makers"))]
fn second_look(plain: Result<Frame, FrameError>, _bytes: &[u8], _limits: &Limits) -> Result<Frame, FrameError> {
    plain
}
