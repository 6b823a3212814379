use std::io::Cursor;

use png::{BitDepth, ColorType, Decoder, Info, Limits as PngLimits, Transformations};

use super::{Decoded, coded_curve, interleaved, linearity, usual_curve, words_from_big_endian};
use crate::samples::Values;
use crate::{FileKind, Frame, FrameError, Limits, TransferCurve};

const KIND: FileKind = FileKind::Png;
/// What the decoder may take beside the pixels, above all for a profile, which is packed and could swell: the largest
/// profiles have some megabytes.
const MOST_SIDE_BYTES: usize = 32_000_000;
/// A PNG's gamma of 1 / 2.2 is how programs that know no better write sRGB (PNG specification, 3rd edition, 11.3.2.2).
const SRGB_GAMMA: f32 = 0.45455;
const SAME_GAMMA: f32 = 0.001;

/// All colour types; palettes and small bit depths are widened to 8 bits, 16 bits stay.
pub(super) fn decode(bytes: &[u8], limits: &Limits) -> Result<Frame, FrameError> {
    let mut decoder = Decoder::new_with_limits(Cursor::new(bytes), PngLimits { bytes: MOST_SIDE_BYTES });
    decoder.set_ignore_text_chunk(true);
    decoder.set_transformations(Transformations::EXPAND);
    let head = decoder.read_header_info().map_err(damaged)?;
    let is_wide = head.bit_depth == BitDepth::Sixteen;
    // palettes widen to at most four bytes; 16 bits exist twice while the byte order is changed
    let bytes_per_pixel = if is_wide { 4 * head.color_type.samples() } else { 4 };
    let bytes_per_pixel = u64::try_from(bytes_per_pixel).unwrap_or(u64::MAX);
    let size = limits.judge(u64::from(head.width), u64::from(head.height), bytes_per_pixel)?;

    let mut reader = decoder.read_info().map_err(damaged)?;
    let needed = reader.output_buffer_size().ok_or_else(|| damaged("its size overflows"))?;
    let mut values = vec![0; needed];
    let info = reader.next_frame(&mut values).map_err(damaged)?;
    values.truncate(info.buffer_size());

    let mut notes = Vec::new();
    if matches!(info.color_type, ColorType::GrayscaleAlpha | ColorType::Rgba) {
        notes.push("its transparency is left out".to_owned());
    }
    if reader.info().is_animated() {
        notes.push("it is animated: the first picture is read".to_owned());
    }
    let bits = if is_wide { 16 } else { 8 };
    let (layout, places) = interleaved(info.color_type.samples());
    let tag = said_curve(reader.info())?;
    let linearity = linearity(reader.info().icc_profile.as_deref(), tag, usual_curve(layout, bits), &mut notes);
    let (values, white) =
        if is_wide { (Values::U16(words_from_big_endian(&values)), 65_535.0) } else { (Values::bytes(values), 255.0) };
    Decoded { kind: KIND, size, layout, values, places, bits, white, linearity, notes }.frame()
}

/// The file's own word, in the order of the PNG specification, 3rd edition, 4.3 (its profile is asked elsewhere).
fn said_curve(info: &Info<'_>) -> Result<Option<TransferCurve>, FrameError> {
    if let Some(points) = info.coding_independent_code_points {
        return coded_curve(u16::from(points.transfer_function));
    }
    if info.srgb.is_some() {
        return Ok(Some(TransferCurve::Srgb));
    }
    Ok(info.gama_chunk.and_then(|gamma| match gamma.into_value() {
        gamma if (gamma - SRGB_GAMMA).abs() < SAME_GAMMA => Some(TransferCurve::Srgb),
        gamma if gamma > 0.1 && gamma < 2.0 => Some(TransferCurve::power(1.0 / f64::from(gamma))),
        _ => None,
    }))
}

fn damaged(cause: impl std::fmt::Display) -> FrameError {
    FrameError::damaged(KIND, cause)
}
