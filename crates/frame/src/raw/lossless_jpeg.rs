//! Lossless JPEG, the packing of most DNG files.
//!
//! # Source
//!
//! ITU-T T.81 (1992): annex B (markers), annex C and F.2.2 (Huffman codes), annex H (lossless coding; table H.1 has the
//! predictors). A difference of category 16 has no bits behind it (H.1.2.2).

use super::huffman::{Bits, Code};
use crate::big_endian::be_u16;

/// Unpacks one picture of `wanted` numbers, row by row, the numbers of a pixel together; `None` where it is broken or of
/// another kind of JPEG.
pub(super) fn unpack(bytes: &[u8], wanted: usize) -> Option<Vec<u16>> {
    let head = Head::read(bytes)?;
    let row = head.width.checked_mul(head.parts.len())?;
    if row.checked_mul(head.height)? != wanted || row == 0 {
        return None;
    }
    let mut values = vec![0u16; wanted];
    let mut bits = Bits::new(bytes.get(head.data_at..)?);
    let count = head.parts.len();
    let middle = 1i32 << (head.precision - head.shift - 1);
    let mut rows_to_restart = head.rows_to_restart;
    let mut is_first_row = true;
    for y in 0..head.height {
        if head.rows_to_restart > 0 && rows_to_restart == 0 {
            bits.restart();
            (is_first_row, rows_to_restart) = (true, head.rows_to_restart);
        }
        rows_to_restart = rows_to_restart.wrapping_sub(1);
        let (above, rest) = values.split_at_mut(y * row);
        let above = above.get(y.saturating_sub(1) * row..).unwrap_or_default();
        let here = rest.get_mut(..row)?;
        for x in 0..row {
            let beside = |values: &[u16]| i32::from(values[x - count]);
            let predicted = match (is_first_row, x < count) {
                (true, true) => middle,
                (true, false) => beside(here),
                (false, true) => i32::from(above[x]),
                (false, false) => head.predictor.of(beside(here), i32::from(above[x]), beside(above)),
            };
            let difference = bits.difference(&head.parts[x % count])?;
            // differences are meant modulo 2^16
            here[x] = u16::try_from((predicted + difference) & 0xffff).ok()?;
        }
        is_first_row = false;
    }
    if head.shift > 0 {
        for value in &mut values {
            *value <<= head.shift;
        }
    }
    Some(values)
}

#[derive(Clone, Copy)]
struct Predictor(u8);

impl Predictor {
    /// T.81, table H.1, with the numbers to the left, above, and above to the left.
    fn of(self, left: i32, above: i32, corner: i32) -> i32 {
        match self.0 {
            1 => left,
            2 => above,
            3 => corner,
            4 => left + above - corner,
            5 => left + ((above - corner) >> 1),
            6 => above + ((left - corner) >> 1),
            _ => (left + above) >> 1,
        }
    }
}

struct Head {
    precision: u8,
    width: usize,
    height: usize,
    /// The code of each number of a pixel.
    parts: Vec<Code>,
    predictor: Predictor,
    shift: u8,
    /// 0 for never.
    rows_to_restart: usize,
    data_at: usize,
}

impl Head {
    fn read(bytes: &[u8]) -> Option<Self> {
        let mut at = 2;
        let mut codes: [Option<Code>; 4] = [None, None, None, None];
        let mut frame: Option<&[u8]> = None;
        let mut restart = 0;
        if bytes.get(..2)? != [0xff, 0xd8] {
            return None;
        }
        // each segment is at least two bytes long, so this ends
        loop {
            let [mark, kind] = *bytes.get(at..)?.first_chunk()?;
            if mark != 0xff {
                return None;
            }
            let length = usize::from(be_u16(bytes, at + 2)?);
            let segment = bytes.get(at + 4..at + 2 + length)?;
            at += 2 + length;
            match kind {
                0xc3 => frame = Some(segment),
                0xc4 => Code::read_all(segment, &mut codes)?,
                0xdd => restart = usize::from(be_u16(segment, 0)?),
                0xda => return Self::of(frame?, segment, &codes, restart, at),
                // any other way of coding
                0xc0..=0xcf => return None,
                _ => {}
            }
        }
    }

    fn of(frame: &[u8], scan: &[u8], codes: &[Option<Code>; 4], restart: usize, data_at: usize) -> Option<Self> {
        let precision = *frame.first()?;
        let (height, width) = (usize::from(be_u16(frame, 1)?), usize::from(be_u16(frame, 3)?));
        let count = usize::from(*frame.get(5)?);
        let described = frame.get(6..6 + 3 * count)?;
        // one number for each place: no channel at half size
        let is_even = described.chunks_exact(3).all(|part| part[1] == 0x11);
        if !(2..=16).contains(&precision) || !(1..=4).contains(&count) || !is_even || *scan.first()? != frame[5] {
            return None;
        }
        let parts = scan.get(1..1 + 2 * count)?.chunks_exact(2);
        let parts = parts.map(|part| codes.get(usize::from(part[1] >> 4))?.clone()).collect::<Option<Vec<Code>>>()?;
        let predictor = *scan.get(1 + 2 * count)?;
        let shift = scan.get(3 + 2 * count)? & 15;
        if !(1..=7).contains(&predictor) || shift >= precision {
            return None;
        }
        // T.81, H.1.1: restarts fall on the beginnings of rows
        if width == 0 || !restart.is_multiple_of(width) {
            return None;
        }
        let rows_to_restart = restart / width;
        Some(Self { precision, width, height, parts, predictor: Predictor(predictor), shift, rows_to_restart, data_at })
    }
}
