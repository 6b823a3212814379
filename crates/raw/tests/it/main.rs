//! Integration tests: the plain door, and the second decoder where it is built in.

#[cfg(feature = "makers")]
mod makers;

use frame::{FrameError, Limits};

#[test]
fn what_frame_opens_is_opened_and_what_it_refuses_is_refused() {
    let limits = Limits::default();
    let grey = b"P5\n2 1\n255\n\x00\xff";
    assert_eq!(raw::open(grey, &limits), frame::open(grey, &limits));
    assert!(matches!(raw::open(b"hello there", &limits), Err(FrameError::Unrecognised { .. })));
    // the head of a CR3 without anything behind it
    assert!(matches!(raw::open(b"\0\0\0\x10ftypcrx \0\0\0\x01", &limits), Err(FrameError::PackedRaw { .. })));
}
