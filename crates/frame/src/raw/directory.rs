/// Directories looked at in one file: raw files have up to about ten.
const MOST_DIRECTORIES: usize = 64;
/// Entries of one directory that are looked at.
const MOST_ENTRIES: usize = 1_000;
/// Numbers of one entry that are read: a strip for each row of the tallest picture let in.
const MOST_NUMBERS: usize = 70_000;
const ENTRY_BYTES: usize = 12;

/// Tags by name (TIFF 6.0; Adobe DNG 1.4 to 1.7, chapter 4).
pub(crate) mod tag {
    pub(crate) const SUBFILE: u16 = 254;
    pub(crate) const WIDTH: u16 = 256;
    pub(crate) const HEIGHT: u16 = 257;
    pub(crate) const BITS: u16 = 258;
    pub(crate) const COMPRESSION: u16 = 259;
    pub(crate) const PHOTOMETRIC: u16 = 262;
    pub(crate) const STRIP_OFFSETS: u16 = 273;
    pub(crate) const SAMPLES: u16 = 277;
    pub(crate) const ROWS_PER_STRIP: u16 = 278;
    pub(crate) const STRIP_BYTES: u16 = 279;
    pub(crate) const TILE_WIDTH: u16 = 322;
    pub(crate) const TILE_HEIGHT: u16 = 323;
    pub(crate) const TILE_OFFSETS: u16 = 324;
    pub(crate) const TILE_BYTES: u16 = 325;
    pub(crate) const SUB_DIRECTORIES: u16 = 330;
    pub(crate) const JPEG_AT: u16 = 513;
    pub(crate) const JPEG_BYTES: u16 = 514;
    pub(crate) const PATTERN_SIZE: u16 = 33_421;
    pub(crate) const PATTERN: u16 = 33_422;
    pub(crate) const DNG_VERSION: u16 = 50_706;
    pub(crate) const LINEARIZATION: u16 = 50_712;
    pub(crate) const BLACK_REPEAT: u16 = 50_713;
    pub(crate) const BLACK: u16 = 50_714;
    pub(crate) const WHITE: u16 = 50_717;
    pub(crate) const NEUTRAL: u16 = 50_728;
    pub(crate) const ACTIVE_AREA: u16 = 50_829;
    /// The whole JPEG beside the raw picture, of Panasonic alone.
    pub(crate) const PANASONIC_JPEG: u16 = 0x002e;
}

/// A file built on TIFF, with all its directories.
#[derive(Debug)]
pub(crate) struct Directories<'a> {
    pub(crate) bytes: &'a [u8],
    pub(crate) is_little: bool,
    pub(crate) all: Vec<Directory>,
}

/// One directory: the places of its values.
#[derive(Debug, Clone, Default)]
pub(crate) struct Directory {
    entries: Vec<Entry>,
}

#[derive(Debug, Clone, Copy)]
struct Entry {
    tag: u16,
    kind: u16,
    count: usize,
    at: usize,
}

impl<'a> Directories<'a> {
    /// Reads the chain of directories and those below them; `None` where there is none.
    ///
    /// The mark after the byte order may be that of a maker.
    pub(crate) fn read(bytes: &'a [u8]) -> Option<Self> {
        let is_little = match bytes.get(..2)? {
            b"II" => true,
            b"MM" => false,
            _ => return None,
        };
        // BigTIFF has offsets of 8 bytes
        if matches!(bytes.get(2..4)?, [0x2b, 0] | [0, 0x2b]) {
            return None;
        }
        let mut file = Self { bytes, is_little, all: Vec::new() };
        let mut waiting = vec![file.long(4)?];
        let mut seen: Vec<usize> = Vec::new();
        while let Some(at) = waiting.pop() {
            if at == 0 || seen.contains(&at) || seen.len() >= MOST_DIRECTORIES {
                continue;
            }
            seen.push(at);
            if let Some((directory, next)) = file.directory(at) {
                waiting.extend(file.wholes(&directory, tag::SUB_DIRECTORIES).into_iter().take(MOST_DIRECTORIES));
                waiting.extend(next);
                file.all.push(directory);
            }
        }
        (!file.all.is_empty()).then_some(file)
    }

    fn directory(&self, at: usize) -> Option<(Directory, Option<usize>)> {
        let count = usize::from(self.short(at)?);
        let mut entries = Vec::new();
        for index in 0..count.min(MOST_ENTRIES) {
            let entry_at = at.checked_add(2 + index * ENTRY_BYTES)?;
            let Some(entry) = self.entry(entry_at) else { break };
            entries.push(entry);
        }
        let next = at.checked_add(2 + count * ENTRY_BYTES).and_then(|at| self.long(at));
        Some((Directory { entries }, next))
    }

    fn entry(&self, at: usize) -> Option<Entry> {
        let kind = self.short(at + 2)?;
        let count = self.long(at + 4)?;
        let is_inline = count.checked_mul(kind_bytes(kind)?).is_some_and(|bytes| bytes <= 4);
        let value_at = if is_inline { at + 8 } else { self.long(at + 8)? };
        Some(Entry { tag: self.short(at)?, kind, count, at: value_at })
    }

    /// Whether everything that the entries of a directory point at lies inside the file.
    pub(crate) fn is_inside(&self, directory: &Directory) -> bool {
        directory.entries.iter().all(|entry| {
            // of a type that is not known nothing can be said, and a careful reader passes over it
            let length = kind_bytes(entry.kind).map_or(Some(0), |bytes| entry.count.checked_mul(bytes));
            length.and_then(|length| entry.at.checked_add(length)).is_some_and(|end| end <= self.bytes.len())
        })
    }

    /// All numbers of an entry; fewer, where the file ends before; none, where the entry is not there.
    pub(crate) fn numbers(&self, directory: &Directory, tag: u16) -> Vec<f64> {
        let Some(entry) = directory.entries.iter().find(|entry| entry.tag == tag) else { return Vec::new() };
        let Some(size) = kind_bytes(entry.kind) else { return Vec::new() };
        let at = |index: usize| index.checked_mul(size).and_then(|offset| entry.at.checked_add(offset));
        (0..entry.count.min(MOST_NUMBERS)).map_while(|index| self.number(at(index)?, entry.kind)).collect()
    }

    /// The same where only whole numbers of 0 or more make sense.
    pub(crate) fn wholes(&self, directory: &Directory, tag: u16) -> Vec<usize> {
        self.numbers(directory, tag).into_iter().map_while(whole).collect()
    }

    /// The first of them.
    pub(crate) fn whole(&self, directory: &Directory, tag: u16) -> Option<usize> {
        whole(*self.numbers(directory, tag).first()?)
    }

    /// The bytes that an entry of bytes stands for.
    pub(crate) fn slice(&self, directory: &Directory, tag: u16) -> Option<&'a [u8]> {
        let entry = directory.entries.iter().find(|entry| entry.tag == tag)?;
        self.bytes.get(entry.at..entry.at.checked_add(entry.count)?)
    }

    fn number(&self, at: usize, kind: u16) -> Option<f64> {
        let long = |at: usize| self.long(at).and_then(|number| u32::try_from(number).ok());
        let signed = |number: u32| f64::from(number.cast_signed());
        Some(match kind {
            1 | 2 | 7 => f64::from(*self.bytes.get(at)?),
            3 => f64::from(self.short(at)?),
            4 | 13 => f64::from(long(at)?),
            5 => f64::from(long(at)?) / f64::from(long(at + 4)?),
            6 => f64::from(self.bytes.get(at)?.cast_signed()),
            8 => f64::from(self.short(at)?.cast_signed()),
            9 => signed(long(at)?),
            10 => signed(long(at)?) / signed(long(at + 4)?),
            11 => f64::from(f32::from_bits(long(at)?)),
            _ => return None,
        })
    }

    pub(crate) fn short(&self, at: usize) -> Option<u16> {
        let bytes = *self.bytes.get(at..)?.first_chunk()?;
        Some(if self.is_little { u16::from_le_bytes(bytes) } else { u16::from_be_bytes(bytes) })
    }

    fn long(&self, at: usize) -> Option<usize> {
        let bytes = *self.bytes.get(at..)?.first_chunk()?;
        usize::try_from(if self.is_little { u32::from_le_bytes(bytes) } else { u32::from_be_bytes(bytes) }).ok()
    }
}

/// Bytes of one number, TIFF 6.0, section 2.
fn kind_bytes(kind: u16) -> Option<usize> {
    Some(match kind {
        1 | 2 | 6 | 7 => 1,
        3 | 8 => 2,
        4 | 9 | 11 | 13 => 4,
        5 | 10 | 12 => 8,
        _ => return None,
    })
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to the greatest of 32 bits")]
fn whole(number: f64) -> Option<usize> {
    (number >= 0.0 && number <= f64::from(u32::MAX)).then_some(number as usize)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_directory_that_points_at_itself_is_read_once() {
        let bytes = b"MM\0\x2a\0\0\0\x08\0\x01\x01\x00\0\x03\0\0\0\x01\0\x07\0\0\0\0\0\x08";
        let file = Directories::read(bytes).unwrap();
        assert_eq!(file.all.len(), 1);
        assert_eq!(file.whole(&file.all[0], tag::WIDTH), Some(7));
        assert!(file.numbers(&file.all[0], tag::HEIGHT).is_empty());
    }
}
