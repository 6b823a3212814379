use super::directory::{Directories, Directory, tag};
use super::{lossless_jpeg, packed};
use crate::{FileKind, FrameError, Limits};

/// Strips or tiles of one picture.
const MOST_PIECES: usize = 70_000;
/// Depths of open numbers: whole bytes, or packed bit by bit with the highest bit first (DNG, chapter 3).
const DEPTHS: std::ops::RangeInclusive<usize> = 8..=16;
/// Compressions of TIFF: none, and JPEG, which in raw files is the lossless kind.
const OPEN: usize = 1;
const JPEG: usize = 7;

/// How the numbers of a raw picture lie in the file.
pub(super) struct Shape {
    pub(super) width: usize,
    pub(super) height: usize,
    /// Numbers a pixel.
    pub(super) count: usize,
    pub(super) bits: usize,
    /// Bits that an open number takes in the file.
    stored_bits: usize,
    /// Width and height of a strip or tile.
    piece: [usize; 2],
    is_tiled: bool,
    is_jpeg: bool,
}

impl Shape {
    pub(super) fn read(file: &Directories<'_>, directory: &Directory, kind: FileKind) -> Result<Self, FrameError> {
        let get = |tag| file.whole(directory, tag);
        let (Some(width), Some(height)) = (get(tag::WIDTH), get(tag::HEIGHT)) else {
            return Err(FrameError::damaged(kind, "its size is missing"));
        };
        if width == 0 || height == 0 {
            return Err(FrameError::NoPixels);
        }
        let count = get(tag::SAMPLES).unwrap_or(1);
        let bits = get(tag::BITS).unwrap_or(8);
        let compression = get(tag::COMPRESSION).unwrap_or(OPEN);
        if !matches!(compression, OPEN | JPEG) {
            return Err(packed(&format!("a raw picture packed in way {compression}")));
        }
        if !DEPTHS.contains(&bits) || !matches!(count, 1 | 3) {
            return Err(packed(&format!("a raw picture of {count} numbers of {bits} bits a pixel")));
        }
        let tile = get(tag::TILE_WIDTH).zip(get(tag::TILE_HEIGHT));
        let rows = get(tag::ROWS_PER_STRIP).unwrap_or(height).clamp(1, height);
        let piece = tile.map_or([width, rows], |(width, height)| [width, height]);
        if piece.contains(&0) || piece.iter().any(|side| *side > 65_535) {
            return Err(FrameError::damaged(kind, "its tiles have no sensible size"));
        }
        let is_jpeg = compression == JPEG;
        let mut shape =
            Self { width, height, count, bits, stored_bits: bits, piece, is_tiled: tile.is_some(), is_jpeg };
        // some makers name the converter's bits and store words of 16; the length of a piece tells
        let numbers = piece[0].saturating_mul(shape.rows_of(0)).saturating_mul(count);
        let lengths = if shape.is_tiled { tag::TILE_BYTES } else { tag::STRIP_BYTES };
        if bits > 8 && get(lengths).is_some_and(|length| length >= numbers.saturating_mul(2)) {
            shape.stored_bits = 16;
        }
        Ok(shape)
    }

    /// All numbers, row by row.
    pub(super) fn read_all(
        &self,
        file: &Directories<'_>,
        directory: &Directory,
        kind: FileKind,
        limits: &Limits,
    ) -> Result<Vec<u16>, FrameError> {
        let [piece_width, piece_height] = self.piece;
        let bytes_per_pixel = 2 * self.count as u64;
        limits.judge(piece_width as u64, piece_height as u64, bytes_per_pixel)?;
        let across = self.width.div_ceil(piece_width);
        let down = self.height.div_ceil(piece_height);
        let broken = || FrameError::damaged(kind, "a part of its numbers is missing");
        let pieces = across.checked_mul(down).filter(|pieces| *pieces <= MOST_PIECES).ok_or_else(broken)?;
        // each piece is to be there whole before memory is taken for all of them
        let sources = self.sources(file, directory, [across, pieces]).ok_or_else(broken)?;
        let mut values = vec![0; self.width * self.height * self.count];
        let mut numbers = Vec::new();
        for (index, source) in sources.into_iter().enumerate() {
            let (left, top) = (index % across * piece_width, index / across * piece_height);
            let rows = self.rows_of(index / across);
            let row = piece_width * self.count;
            if self.is_jpeg {
                let unpacked = lossless_jpeg::unpack(source, row * rows);
                numbers = unpacked.ok_or_else(|| not_unpacked(source, kind))?;
            } else {
                numbers.resize(row * rows, 0);
                let row_bytes = self.row_bytes();
                for (target, source) in numbers.chunks_exact_mut(row).zip(source.chunks_exact(row_bytes)) {
                    unpack(source, self.stored_bits, file.is_little, target);
                }
            }
            let columns = piece_width.min(self.width - left) * self.count;
            for (y, source) in numbers.chunks_exact(row).enumerate().take(self.height - top) {
                let start = ((top + y) * self.width + left) * self.count;
                let target = values.get_mut(start..start + columns).unwrap_or_default();
                target.copy_from_slice(source.get(..target.len()).unwrap_or_default());
            }
        }
        Ok(values)
    }

    /// The bytes of every piece; `None` where one is not whole.
    fn sources<'a>(
        &self,
        file: &Directories<'a>,
        directory: &Directory,
        [across, pieces]: [usize; 2],
    ) -> Option<Vec<&'a [u8]>> {
        let (offsets, lengths) =
            if self.is_tiled { (tag::TILE_OFFSETS, tag::TILE_BYTES) } else { (tag::STRIP_OFFSETS, tag::STRIP_BYTES) };
        let offsets = file.wholes(directory, offsets);
        let lengths = file.wholes(directory, lengths);
        (0..pieces)
            .map(|index| {
                let at = *offsets.get(index)?;
                // writers differ in whether the length of an open piece is right; that of a packed one is needed
                let length =
                    if self.is_jpeg { *lengths.get(index)? } else { self.row_bytes() * self.rows_of(index / across) };
                file.bytes.get(at..at.checked_add(length)?)
            })
            .collect()
    }

    fn row_bytes(&self) -> usize {
        (self.piece[0] * self.count * self.stored_bits).div_ceil(8)
    }

    /// Rows of a piece that are stored: tiles are always whole, the last strip ends with the picture.
    fn rows_of(&self, piece_row: usize) -> usize {
        let rows = self.piece[1];
        if self.is_tiled { rows } else { rows.min(self.height - piece_row * rows) }
    }
}

/// A JPEG of another kind, or one that is broken.
fn not_unpacked(source: &[u8], kind: FileKind) -> FrameError {
    const LOSSLESS: [u8; 2] = [0xff, 0xc3];
    if source.windows(2).any(|pair| pair == LOSSLESS) {
        return FrameError::damaged(kind, "a tile of its numbers is broken");
    }
    packed("a raw picture packed with loss")
}

fn unpack(bytes: &[u8], bits: usize, is_little: bool, target: &mut [u16]) {
    match bits {
        8 => target.iter_mut().zip(bytes).for_each(|(value, byte)| *value = u16::from(*byte)),
        16 => target.iter_mut().zip(bytes.as_chunks::<2>().0).for_each(|(value, pair)| {
            *value = if is_little { u16::from_le_bytes(*pair) } else { u16::from_be_bytes(*pair) };
        }),
        _ => {
            let (mut held, mut held_bits) = (0u32, 0);
            let mut bytes = bytes.iter();
            for value in target {
                while held_bits < bits {
                    held = (held << 8) | u32::from(bytes.next().copied().unwrap_or(0));
                    held_bits += 8;
                }
                held_bits -= bits;
                *value = u16::try_from(held >> held_bits).unwrap_or(0);
                held &= (1 << held_bits) - 1;
            }
        }
    }
}
