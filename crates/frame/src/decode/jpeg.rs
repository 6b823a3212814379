use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

use super::{Decoded, interleaved, linearity};
use crate::room;
use crate::samples::Values;
use crate::{FileKind, Frame, FrameError, Layout, Limits, TransferCurve};

const KIND: FileKind = FileKind::Jpeg;
/// Passes of a progressive picture: encoders write about ten; more only cost time.
const MOST_SCANS: usize = 64;
/// Memory a pixel takes: three bytes out, and in a progressive picture all coefficients, two bytes each, beside them.
const BYTES_PER_PIXEL: u64 = 3;
const BYTES_PER_PIXEL_PROGRESSIVE: u64 = 9;

/// Baseline and progressive, colour and grey, in 8 bits.
pub(crate) fn decode(bytes: &[u8], limits: &Limits) -> Result<Frame, FrameError> {
    let side = usize::from(u16::MAX);
    let options = DecoderOptions::default()
        .set_max_width(side)
        .set_max_height(side)
        .set_strict_mode(false)
        .jpeg_set_max_scans(MOST_SCANS);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    decoder.decode_headers().map_err(|cause| FrameError::damaged(KIND, format!("{cause:?}")))?;
    let (Some(info), Some(colours)) = (decoder.info(), decoder.input_colorspace()) else {
        return Err(FrameError::damaged(KIND, "it has no picture"));
    };
    let head = Head::read(bytes);
    let bytes_per_pixel = if head.is_progressive { BYTES_PER_PIXEL_PROGRESSIVE } else { BYTES_PER_PIXEL };
    let size = limits.judge(u64::from(info.width), u64::from(info.height), bytes_per_pixel)?;
    let (wanted, count) = match colours {
        ColorSpace::Luma => (ColorSpace::Luma, 1),
        ColorSpace::YCbCr | ColorSpace::RGB => (ColorSpace::RGB, 3),
        ColorSpace::CMYK | ColorSpace::YCCK => return Err(unsupported("a JPEG in CMYK colours")),
        _ => return Err(unsupported("a JPEG in unusual colours")),
    };
    decoder.set_options(options.jpeg_set_out_colorspace(wanted));
    let held = decoder.output_buffer_size().ok_or_else(|| FrameError::damaged(KIND, "it has no picture"))?;
    let mut values = room::zeros(held);
    let filled = decoder.decode_into(&mut values);
    // a picture that fails leaves its room to the next one too
    let values = Values::bytes(values);
    filled.map_err(|cause| FrameError::damaged(KIND, format!("{cause:?}")))?;

    let mut notes = Vec::new();
    if !head.has_end {
        notes.push("the file breaks off: the lower part of the picture is not there".to_owned());
    }
    let profile = decoder.icc_profile();
    let linearity = linearity(profile.as_deref(), None, TransferCurve::Srgb, &mut notes);
    let (layout, places) = interleaved(count);
    debug_assert!(layout == Layout::Rgb || count == 1, "a JPEG has one channel or three");
    let decoded = Decoded { kind: KIND, size, layout, values, places, bits: 8, white: 255.0, linearity, notes };
    let mut frame = decoded.frame()?;
    frame.cut_short = !head.has_end;
    Ok(frame)
}

fn unsupported(what: &str) -> FrameError {
    FrameError::Unsupported { what: what.to_owned(), remedy: "export it as a JPEG in RGB (sRGB) colours" }
}

/// What the decoder does not tell.
struct Head {
    is_progressive: bool,
    /// Whether an end mark follows the picture's data; its own decoder fills up what is missing.
    has_end: bool,
}

impl Head {
    fn read(bytes: &[u8]) -> Self {
        let mut head = Self { is_progressive: false, has_end: false };
        let mut at = 2;
        // each round moves on by two bytes at least
        while let Some([0xff, mark]) = bytes.get(at..).and_then(|rest| rest.first_chunk::<2>()) {
            match mark {
                0xff => at += 1,
                0x01 | 0xd0..=0xd8 => at += 2,
                0xd9 => break,
                0xda => {
                    // inside coded data ff is always followed by 0 or a restart mark; most files end with the mark
                    let coded = bytes.get(at..).unwrap_or_default();
                    head.has_end = coded.windows(2).rev().any(|pair| pair == [0xff, 0xd9]);
                    break;
                }
                _ => {
                    head.is_progressive |= *mark == 0xc2;
                    let length = crate::big_endian::be_u16(bytes, at + 2).unwrap_or(0);
                    at += 2 + usize::from(length.max(2));
                }
            }
        }
        head
    }
}
