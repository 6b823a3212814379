//! Time on the processor, and decoding alone: what every bench of frames compares with.

use std::hint::black_box;
use std::time::Instant;

use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

/// The decoder that frames are opened with, on its own.
pub(crate) fn decode(bytes: &[u8]) -> Vec<u8> {
    let options = DecoderOptions::default().jpeg_set_out_colorspace(ColorSpace::RGB);
    JpegDecoder::new_with_options(ZCursor::new(bytes), options).decode().unwrap()
}

/// Seconds that a piece of work takes on the processor, or by the clock where the system does not tell.
pub(crate) fn seconds<T>(work: impl FnOnce() -> T) -> f64 {
    let (before, start) = (on_core_s(), Instant::now());
    black_box(work());
    match before.zip(on_core_s()) {
        Some((before, after)) => after - before,
        None => start.elapsed().as_secs_f64(),
    }
}

/// Time that this thread has run so far (Linux, Documentation/scheduler/sched-stats: the first number, ns).
fn on_core_s() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    text.split_whitespace().next()?.parse::<f64>().ok().map(|nanoseconds| nanoseconds * 1e-9)
}

pub(crate) fn middle(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}
