//! Lossless JPEG, the packing of most DNG files.
//!
//! # Source
//!
//! ITU-T T.81 (1992): annex B (markers), annex C and F.2.2 (Huffman codes), annex H (lossless coding; table H.1 has the
//! predictors). A difference of category 16 has no bits behind it (H.1.2.2).

use crate::big_endian::be_u16;

/// Most bytes beyond the end that reading may ask for: the last code is read 16 bits at a time.
const SPARE_BYTES: usize = 8;
/// Codes up to this length are looked up at once; longer ones are rare.
const QUICK_BITS: u32 = 9;

/// Unpacks one picture of `wanted` numbers, row by row, the numbers of a pixel together; `None` where it is broken or of
/// another kind of JPEG.
pub(super) fn unpack(bytes: &[u8], wanted: usize) -> Option<Vec<u16>> {
    let head = Head::read(bytes)?;
    let row = head.width.checked_mul(head.parts.len())?;
    if row.checked_mul(head.height)? != wanted || row == 0 {
        return None;
    }
    let mut values = vec![0u16; wanted];
    let mut bits = Bits { bytes: bytes.get(head.data_at..)?, at: 0, held: 0, count: 0, missing: 0 };
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

/// A Huffman code: T.81, annex C and figure F.15.
#[derive(Clone)]
struct Code {
    /// For the next bits, the length of the code in front and its value; length 0 where it is longer.
    quick: Vec<(u8, u8)>,
    /// By length: the code after the last of it, shifted to 16 bits, and the place of its first value less its first code.
    ends: [(u32, i32); 17],
    values: Vec<u8>,
}

impl Code {
    fn read_all(mut segment: &[u8], codes: &mut [Option<Self>; 4]) -> Option<()> {
        while let Some((head, rest)) = segment.split_first_chunk::<17>() {
            let total = head[1..].iter().map(|count| usize::from(*count)).sum::<usize>();
            let values = rest.get(..total)?;
            *codes.get_mut(usize::from(head[0]))? = Some(Self::new(&head[1..], values)?);
            segment = &rest[total..];
        }
        Some(())
    }

    fn new(counts: &[u8], values: &[u8]) -> Option<Self> {
        let mut quick = vec![(0, 0); 1 << QUICK_BITS];
        let mut ends = [(0, 0); 17];
        let (mut code, mut place) = (0u32, 0usize);
        for (length, count) in (1u32..).zip(counts) {
            let first = code;
            for _ in 0..*count {
                let value = *values.get(place)?;
                if length <= QUICK_BITS {
                    let from = usize::try_from(code << (QUICK_BITS - length)).ok()?;
                    let fill = quick.get_mut(from..from + (1 << (QUICK_BITS - length)))?;
                    fill.fill((u8::try_from(length).ok()?, value));
                }
                code += 1;
                place += 1;
            }
            if code > 1 << length {
                return None;
            }
            let offset = i32::try_from(place).ok()? - i32::from(*count) - i32::try_from(first).ok()?;
            ends[usize::try_from(length).ok()?] = (code << (16 - length), offset);
            code <<= 1;
        }
        // categories beyond 16 bits have no meaning
        values.iter().all(|value| *value <= 16).then(|| Self { quick, ends, values: values.to_vec() })
    }

    /// Length and value of the code in front of 16 bits.
    fn find(&self, next: u32) -> Option<(u32, u8)> {
        let (length, value) = *self.quick.get(usize::try_from(next >> (16 - QUICK_BITS)).ok()?)?;
        if length > 0 {
            return Some((u32::from(length), value));
        }
        for length in QUICK_BITS + 1..=16 {
            let (end, offset) = self.ends[usize::try_from(length).ok()?];
            if next < end {
                let place = i32::try_from(next >> (16 - length)).ok()? + offset;
                return Some((length, *self.values.get(usize::try_from(place).ok()?)?));
            }
        }
        None
    }
}

struct Bits<'a> {
    bytes: &'a [u8],
    at: usize,
    held: u64,
    count: u32,
    /// Bytes asked for beyond the end.
    missing: usize,
}

impl Bits<'_> {
    fn fill(&mut self) {
        while self.count <= 48 {
            let byte = match (self.bytes.get(self.at), self.bytes.get(self.at + 1)) {
                (Some(0xff), Some(0)) => {
                    self.at += 2;
                    0xff
                }
                // a mark, or the end: zeros from here on
                (Some(0xff) | None, _) => {
                    self.missing += 1;
                    0
                }
                (Some(byte), _) => {
                    self.at += 1;
                    *byte
                }
            };
            self.held = (self.held << 8) | u64::from(byte);
            self.count += 8;
        }
    }

    fn take(&mut self, bits: u32) -> Option<i32> {
        self.count -= bits;
        i32::try_from((self.held >> self.count) & ((1 << bits) - 1)).ok()
    }

    /// T.81, H.1.2.2 and F.2.2.1.
    fn difference(&mut self, code: &Code) -> Option<i32> {
        if self.count < 32 {
            self.fill();
            if self.missing > SPARE_BYTES {
                return None;
            }
        }
        let next = u32::try_from((self.held >> (self.count - 16)) & 0xffff).ok()?;
        let (length, category) = code.find(next)?;
        self.count -= length;
        match u32::from(category) {
            0 => Some(0),
            16 => Some(32_768),
            category => {
                let value = self.take(category)?;
                let is_negative = value < 1 << (category - 1);
                Some(if is_negative { value - (1 << category) + 1 } else { value })
            }
        }
    }

    /// Goes on behind the next restart mark.
    fn restart(&mut self) {
        (self.held, self.count, self.missing) = (0, 0, 0);
        if let Some([0xff, 0xd0..=0xd7]) = self.bytes.get(self.at..).and_then(|rest| rest.first_chunk::<2>()) {
            self.at += 2;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_of_every_length_are_found() {
        // one code of each length from 1 to 15, as in 0, 10, 110, ...
        let mut counts = [1u8; 16];
        counts[15] = 0;
        let values: Vec<u8> = (0..15).collect();
        let code = Code::new(&counts, &values).unwrap();
        for length in 1..=15u32 {
            let next = (0xffff << (17 - length)) & 0xffff;
            assert_eq!(code.find(next), Some((length, u8::try_from(length - 1).unwrap())), "length {length}");
        }
        assert_eq!(code.find(0xffff), None);
        // three codes of one bit
        assert!(Code::new(&[3, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0], &[0, 1, 2]).is_none());
    }
}
