//! Room for the bytes of a picture, used again by the next one.
//!
//! The 72 MB that 24 megapixels take are asked of the system for every frame and given back after it, and the system hands
//! them out page by page: a sixth of the time that decoding takes. Who opens many frames in turn keeps the room.

use std::cell::RefCell;
use std::marker::PhantomData;
use std::ops::Deref;

/// Smallest room that is kept: smaller ones are not given back to the system in any case.
const LEAST_BYTES: usize = 1_000_000;

thread_local! {
    static KEPT: RefCell<Kept> = const { RefCell::new(Kept { keepers: 0, bytes: Vec::new() }) };
}

struct Kept {
    /// Keepers that live on this thread.
    keepers: usize,
    bytes: Vec<u8>,
}

/// While it lives, the room of the largest picture that its thread has let go is used for the next picture opened there.
///
/// For who opens many frames one after another: a frame must be dropped before the next one is opened, and on the thread
/// that opens it. The room goes back to the system with the last keeper of the thread. Nothing of a picture is seen in the
/// next one: room that is used again is emptied.
///
/// ```
/// let keeper = frame::RoomKeeper::new();
/// // open, measure and drop one frame after another here
/// drop(keeper);
/// ```
#[derive(Debug)]
pub struct RoomKeeper {
    /// It counts for the thread it was made on.
    stays: PhantomData<*const ()>,
}

impl RoomKeeper {
    /// Keeps the room of pictures on this thread.
    pub fn new() -> Self {
        KEPT.with_borrow_mut(|kept| kept.keepers += 1);
        Self { stays: PhantomData }
    }
}

impl Default for RoomKeeper {
    fn default() -> Self {
        Self::new()
    }
}

impl Drop for RoomKeeper {
    fn drop(&mut self) {
        KEPT.with_borrow_mut(|kept| {
            kept.keepers = kept.keepers.saturating_sub(1);
            if kept.keepers == 0 {
                kept.bytes = Vec::new();
            }
        });
    }
}

/// Zeros in as many bytes as are asked for, in room that was kept if it is large enough.
pub(crate) fn zeros(count: usize) -> Vec<u8> {
    let kept =
        KEPT.with_borrow_mut(
            |kept| {
                if kept.bytes.capacity() >= count { std::mem::take(&mut kept.bytes) } else { Vec::new() }
            },
        );
    if kept.capacity() == 0 {
        return vec![0; count];
    }
    let mut bytes = kept;
    bytes.clear();
    bytes.resize(count, 0);
    bytes
}

/// Bytes of a picture, whose room is kept for the next one where a [`RoomKeeper`] lives.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Bytes(Vec<u8>);

impl Bytes {
    pub(crate) fn new(bytes: Vec<u8>) -> Self {
        Self(bytes)
    }
}

impl Deref for Bytes {
    type Target = [u8];

    #[inline]
    fn deref(&self) -> &[u8] {
        &self.0
    }
}

impl Drop for Bytes {
    fn drop(&mut self) {
        if self.0.capacity() < LEAST_BYTES {
            return;
        }
        // a thread that ends has no room to keep
        let _ended = KEPT.try_with(|kept| {
            if let Ok(mut kept) = kept.try_borrow_mut()
                && kept.keepers > 0
                && kept.bytes.capacity() < self.0.capacity()
            {
                kept.bytes = std::mem::take(&mut self.0);
            }
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn room_is_used_again_while_a_keeper_lives_and_holds_nothing_of_the_last_picture() {
        let size = 2 * LEAST_BYTES;
        let keeper = RoomKeeper::new();
        let first = Bytes::new(vec![7; size]);
        let place = first.as_ptr();
        drop(first);
        let second = zeros(size - 5);
        assert_eq!(second.as_ptr(), place);
        assert_eq!(second.len(), size - 5);
        assert!(second.iter().all(|byte| *byte == 0));
        // a larger picture has room of its own
        drop(Bytes::new(second));
        assert!(zeros(2 * size).capacity() >= 2 * size);
        assert_eq!(KEPT.with_borrow(|kept| kept.bytes.capacity()), size);
        drop(keeper);
        assert_eq!(KEPT.with_borrow(|kept| kept.bytes.capacity()), 0);
        drop(Bytes::new(vec![1; size]));
        assert_eq!(KEPT.with_borrow(|kept| kept.bytes.capacity()), 0);
    }
}
