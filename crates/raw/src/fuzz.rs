//! The body for fuzzing the second decoder: the same in `fuzz/` with random bytes and in the tests a bounded number of times.

use frame::Limits;

/// Small enough that a round takes milliseconds.
const LIMITS: Limits = Limits { most_pixels: 1_000_000, most_bytes: 64_000_000, longest_side: 20_000 };

/// Unpacks any bytes, and opens them by the door that asks the second decoder; panics only where a promise is broken.
pub fn fuzz_unpack(bytes: &[u8]) {
    for opened in [crate::unpack(bytes, &LIMITS), crate::open(bytes, &LIMITS)] {
        match opened {
            Ok(frame) => {
                let [width, height] = frame.stored_size;
                let is_whole = frame.luminance().is_ok_and(|plane| [plane.width(), plane.height()] == [width, height]);
                assert!(is_whole, "a luminance of another size");
            }
            Err(error) => {
                assert!(!error.to_string().is_empty() && !error.hint().is_empty(), "an error without words");
            }
        }
    }
}
