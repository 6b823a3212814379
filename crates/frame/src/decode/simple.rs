use std::io::Cursor;

use image::codecs::bmp::BmpDecoder;
use image::codecs::gif::GifDecoder;
use image::codecs::webp::WebPDecoder;
use image::{ColorType, ImageDecoder, ImageError, Limits as ImageLimits};

use super::{Decoded, interleaved, linearity};
use crate::samples::Values;
use crate::{FileKind, Frame, FrameError, Limits, TransferCurve};

/// Four bytes out, and as much again while frames are put together.
const BYTES_PER_PIXEL: u64 = 8;

/// Kinds made for the screen: 8 bits, the first picture of an animation.
pub(super) fn decode(kind: FileKind, bytes: &[u8], limits: &Limits) -> Result<Frame, FrameError> {
    let source = Cursor::new(bytes);
    let damaged = |cause: ImageError| FrameError::damaged(kind, cause);
    match kind {
        FileKind::Gif => read(kind, GifDecoder::new(source).map_err(damaged)?, limits),
        FileKind::WebP => read(kind, WebPDecoder::new(source).map_err(damaged)?, limits),
        _ => read(kind, BmpDecoder::new(source).map_err(damaged)?, limits),
    }
}

fn read(kind: FileKind, mut decoder: impl ImageDecoder, limits: &Limits) -> Result<Frame, FrameError> {
    let damaged = |cause: ImageError| FrameError::damaged(kind, cause);
    let (width, height) = decoder.dimensions();
    let size = limits.judge(u64::from(width), u64::from(height), BYTES_PER_PIXEL)?;
    let mut allowed = ImageLimits::default();
    allowed.max_alloc = Some(limits.most_bytes);
    decoder.set_limits(allowed).map_err(damaged)?;
    let count = match decoder.color_type() {
        ColorType::L8 => 1,
        ColorType::La8 => 2,
        ColorType::Rgb8 => 3,
        ColorType::Rgba8 => 4,
        _ => return Err(FrameError::damaged(kind, "it has an unusual colour type")),
    };
    let profile = decoder.icc_profile().unwrap_or_default();
    let needed =
        usize::try_from(decoder.total_bytes()).map_err(|_cause| FrameError::damaged(kind, "its size overflows"))?;
    let mut values = vec![0; needed];
    decoder.read_image(&mut values).map_err(damaged)?;

    let mut notes = Vec::new();
    let linearity = linearity(profile.as_deref(), None, TransferCurve::Srgb, &mut notes);
    let (layout, places) = interleaved(count);
    Decoded { kind, size, layout, values: Values::bytes(values), places, bits: 8, white: 255.0, linearity, notes }
        .frame()
}
