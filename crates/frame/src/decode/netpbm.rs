//! Netpbm in bytes: P5 (grey) and P6 (colour), 8 and 16 bits.
//!
//! # Source
//!
//! Netpbm's own format pages, pgm(5) and ppm(5): the head is words parted by blanks, comments run from `#` to the end
//! of the line, one blank follows the greatest value, and 16-bit numbers have the greater byte first.

use super::{Decoded, interleaved, linearity, usual_curve, words_from_big_endian};
use crate::samples::Values;
use crate::{FileKind, Frame, FrameError, Layout, Limits};

const KIND: FileKind = FileKind::Netpbm;
/// The head with its comments: recorders of all-sky cameras write some kilobytes.
const LONGEST_HEAD: usize = 1_000_000;
/// Digits of the longest number that is read.
const MOST_DIGITS: usize = 9;

/// The first picture of the file.
pub(super) fn decode(bytes: &[u8], limits: &Limits) -> Result<Frame, FrameError> {
    let (frame, rest) = decode_first(bytes, limits)?;
    let mut frame = frame;
    if !rest.is_empty() {
        frame.notes.push("more follows in the file: the first picture is read".to_owned());
    }
    Ok(frame)
}

/// The first picture, and the bytes after it.
pub(super) fn decode_first<'a>(bytes: &'a [u8], limits: &Limits) -> Result<(Frame, &'a [u8]), FrameError> {
    let head = Head::read(bytes)?;
    let count = if head.is_colour { 3 } else { 1 };
    let width_bytes = if head.greatest > 255 { 2 } else { 1 };
    let bytes_per_pixel = count * width_bytes;
    let size = limits.judge(head.width, head.height, u64::try_from(bytes_per_pixel).unwrap_or(u64::MAX))?;
    let needed = size[0] * size[1] * bytes_per_pixel;
    let data = bytes.get(head.data_at..).unwrap_or_default();
    let Some((pixels, rest)) = data.split_at_checked(needed) else {
        return Err(FrameError::damaged(KIND, format!("{} of {needed} bytes of pixels are there", data.len())));
    };
    let mut notes = Vec::new();
    let (layout, places) = interleaved(count);
    let bits = u8::try_from(32 - head.greatest.leading_zeros()).unwrap_or(16);
    let usual = match layout {
        Layout::Grey if width_bytes == 2 => usual_curve(layout, 16),
        other => usual_curve(other, 8),
    };
    let linearity = linearity(None, None, usual, &mut notes);
    let values =
        if width_bytes == 2 { Values::U16(words_from_big_endian(pixels)) } else { Values::bytes(pixels.to_vec()) };
    let white = f32::from(u16::try_from(head.greatest).unwrap_or(u16::MAX));
    let frame = Decoded { kind: KIND, size, layout, values, places, bits, white, linearity, notes }.frame()?;
    Ok((frame, rest))
}

struct Head {
    is_colour: bool,
    width: u64,
    height: u64,
    greatest: u32,
    data_at: usize,
}

impl Head {
    fn read(bytes: &[u8]) -> Result<Self, FrameError> {
        let is_colour = bytes.get(1) == Some(&b'6');
        let mut words = Words { bytes: bytes.get(..LONGEST_HEAD).unwrap_or(bytes), at: 2 };
        let mut number = |what: &str| words.number().ok_or_else(|| FrameError::damaged(KIND, format!("no {what}")));
        let (width, height) = (number("width")?, number("height")?);
        let greatest = number("greatest value")?;
        if greatest == 0 || greatest > u32::from(u16::MAX) {
            return Err(FrameError::damaged(KIND, format!("its greatest value is {greatest}, not 1 to 65535")));
        }
        // exactly one blank ends the head
        let data_at = words.at + 1;
        Ok(Self { is_colour, width: u64::from(width), height: u64::from(height), greatest, data_at })
    }
}

struct Words<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl Words<'_> {
    fn number(&mut self) -> Option<u32> {
        self.skip_blanks();
        let rest = self.bytes.get(self.at..)?;
        let digits = rest.iter().take_while(|byte| byte.is_ascii_digit()).count();
        if digits == 0 || digits > MOST_DIGITS {
            return None;
        }
        self.at += digits;
        std::str::from_utf8(&rest[..digits]).ok()?.parse().ok()
    }

    fn skip_blanks(&mut self) {
        while let Some(byte) = self.bytes.get(self.at) {
            if *byte == b'#' {
                let rest = &self.bytes[self.at..];
                self.at += rest.iter().position(|byte| *byte == b'\n').unwrap_or(rest.len());
            } else if byte.is_ascii_whitespace() {
                self.at += 1;
            } else {
                break;
            }
        }
    }
}
