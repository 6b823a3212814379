//! Huffman codes of JPEG (ITU-T T.81, annexes C and F).

/// Most bytes beyond the end that reading may ask for: the last code is read 16 bits at a time.
const SPARE_BYTES: usize = 8;
/// Codes up to this length are looked up at once; longer ones are rare.
const QUICK_BITS: u32 = 9;

/// A Huffman code: T.81, annex C and figure F.15.
#[derive(Clone)]
pub(super) struct Code {
    /// For the next bits, the length of the code in front and its value; length 0 where it is longer.
    quick: Vec<(u8, u8)>,
    /// By length: the code after the last of it, shifted to 16 bits, and the place of its first value less its first code.
    ends: [(u32, i32); 17],
    values: Vec<u8>,
}

impl Code {
    /// Takes the codes of one segment over (B.2.4.2), each to its place.
    pub(super) fn read_all(mut segment: &[u8], codes: &mut [Option<Self>; 4]) -> Option<()> {
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

/// The coded numbers: zeros that guard a byte of ones are left out, and nothing is read past a mark.
pub(super) struct Bits<'a> {
    bytes: &'a [u8],
    at: usize,
    held: u64,
    count: u32,
    /// Bytes asked for beyond the end.
    missing: usize,
}

impl<'a> Bits<'a> {
    pub(super) fn new(bytes: &'a [u8]) -> Self {
        Self { bytes, at: 0, held: 0, count: 0, missing: 0 }
    }

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

    /// The next difference (H.1.2.2, F.2.2.1); `None` far beyond the end, and where no code fits.
    pub(super) fn difference(&mut self, code: &Code) -> Option<i32> {
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
    pub(super) fn restart(&mut self) {
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
