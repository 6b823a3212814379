use std::io::Cursor;

use tiff::decoder::{Decoder, DecodingResult, Limits as TiffLimits};
use tiff::tags::Tag;
use tiff::{ColorType, TiffError};

use super::{Decoded, interleaved, linearity, usual_curve};
use crate::samples::{Place, Values};
use crate::{FileKind, Frame, FrameError, Layout, Limits, Linearity, SampleUnit};

const KIND: FileKind = FileKind::Tiff;
/// Longest list or text in a directory: a strip table of 155 million rows of one pixel would still be longer, and
/// no writer makes one.
const MOST_TAG_BYTES: usize = 16_000_000;

/// The first picture: 8 or 16 bits, or floating point; grey or colour; strips or tiles; together or in planes.
pub(super) fn decode(bytes: &[u8], limits: &Limits) -> Result<Frame, FrameError> {
    if let Some([width, height]) = crate::raw::tiff_size(bytes) {
        limits.judge(width, height, 1)?;
    }
    let mut decoder = Decoder::new(Cursor::new(bytes)).map_err(damaged)?;
    let (width, height) = decoder.dimensions().map_err(damaged)?;
    let colours = decoder.colortype().map_err(damaged)?;
    let count = channels(colours)?;
    let bytes_per_pixel = u64::from(colours.bit_depth()).div_ceil(8) * u64::try_from(count).unwrap_or(u64::MAX);
    let size = limits.judge(u64::from(width), u64::from(height), bytes_per_pixel.max(1))?;
    let mut allowed = TiffLimits::default();
    allowed.decoding_buffer_size = limits.most_bytes_usize();
    allowed.intermediate_buffer_size = limits.most_bytes_usize();
    allowed.ifd_value_size = MOST_TAG_BYTES;
    let mut decoder = decoder.with_limits(allowed);

    let mut values = DecodingResult::U8(Vec::new());
    let arrangement = decoder.read_image_to_buffer(&mut values).map_err(damaged)?;
    let pixels = size[0] * size[1];
    let (mut layout, mut places) = interleaved(count);
    if arrangement.planes > 1 {
        places = [0, 1, 2].map(|index| Place::planar(index.min(arrangement.planes - 1), pixels));
        layout = if arrangement.planes < 3 { Layout::Grey } else { Layout::Rgb };
    }
    let mut notes = Vec::new();
    if matches!(colours, ColorType::RGBA(_) | ColorType::GrayA(_)) {
        notes.push("its transparency is left out".to_owned());
    }
    if decoder.more_images() {
        notes.push("it holds several pictures: the first is read".to_owned());
    }
    let profile = decoder.get_tag_u8_vec(Tag::IccProfile).ok();
    let (values, bits, white) = numbers(values)?;
    let is_float = matches!(values, Values::F32(_));
    let linearity = if is_float {
        notes.push("numbers in floating point are taken as proportional to light, in the file's own unit".to_owned());
        Linearity::LinearRelative
    } else {
        linearity(profile.as_deref(), None, usual_curve(layout, bits), &mut notes)
    };
    let mut frame = Decoded { kind: KIND, size, layout, values, places, bits, white, linearity, notes }.frame()?;
    if is_float {
        frame.unit = SampleUnit::FileUnits;
        frame.ceiling = None;
    }
    Ok(frame)
}

fn channels(colours: ColorType) -> Result<usize, FrameError> {
    let count = match colours {
        ColorType::Gray(_) => 1,
        ColorType::GrayA(_) => 2,
        ColorType::RGB(_) => 3,
        ColorType::RGBA(_) => 4,
        other => return Err(unsupported(format!("a TIFF in {other:?} colours"))),
    };
    match colours.bit_depth() {
        8 | 16 | 32 | 64 => Ok(count),
        bits => Err(unsupported(format!("a TIFF of {bits} bits"))),
    }
}

fn numbers(values: DecodingResult) -> Result<(Values, u8, f32), FrameError> {
    Ok(match values {
        DecodingResult::U8(values) => (Values::bytes(values), 8, 255.0),
        DecodingResult::U16(values) => (Values::U16(values), 16, 65_535.0),
        DecodingResult::F32(values) => (Values::F32(values), 32, 1.0),
        DecodingResult::F64(values) => (Values::F32(values.into_iter().map(narrow).collect()), 64, 1.0),
        _ => return Err(unsupported("a TIFF of signed or 32-bit whole numbers".to_owned())),
    })
}

#[expect(clippy::cast_possible_truncation, reason = "a plane holds single precision")]
fn narrow(value: f64) -> f32 {
    value as f32
}

fn unsupported(what: String) -> FrameError {
    FrameError::Unsupported { what, remedy: "export it as a TIFF of 8 or 16 bits, grey or RGB" }
}

fn damaged(cause: TiffError) -> FrameError {
    match cause {
        TiffError::UnsupportedError(what) => unsupported(format!("this TIFF ({what})")),
        other => FrameError::damaged(KIND, other),
    }
}
