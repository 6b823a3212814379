use super::directory::{Directories, Directory, tag};
use super::levels::{Levels, neutral, pattern};
use super::{COLOUR_FILTER_ARRAY, LINEAR_RAW, unsupported};
use crate::decode::{Decoded, interleaved};
use crate::samples::{Place, Values};
use crate::{FileKind, Frame, FrameError, Layout, Limits, Linearity};

/// Bytes of memory a number takes as read.
const BYTES_PER_NUMBER: u64 = 2;
/// Strips or tiles of one picture.
const MOST_PIECES: usize = 70_000;
/// Depths that lie open: whole bytes, or packed bit by bit with the highest bit first (DNG, chapter 3).
const DEPTHS: std::ops::RangeInclusive<usize> = 8..=16;
/// Numbers of the longest table from stored to linear values: one for each value of 16 bits.
const LONGEST_TABLE: usize = 65_536;

/// The mosaic (or the linear colour picture) of a raw file, cut to its active area.
pub(super) fn decode(file: &Directories<'_>, kind: FileKind, limits: &Limits) -> Result<Frame, FrameError> {
    let directory = main_directory(file).ok_or_else(|| unsupported("the maker's own raw picture"))?;
    let shape = Shape::read(file, directory, kind)?;
    let number_count = u64::try_from(shape.count).unwrap_or(u64::MAX);
    limits.judge(shape.width as u64, shape.height as u64, number_count * BYTES_PER_NUMBER)?;
    let mut values = shape.read_all(file, directory, kind)?;
    linearize(file, directory, &mut values);
    let area = Area::read(file, directory, &shape);
    area.cut(&mut values, &shape);

    let (layout, places) =
        if shape.count == 3 { interleaved(3) } else { (Layout::Mosaic(pattern(file, directory)?), [Place::ONLY; 3]) };
    let levels = Levels::read(file, directory, shape.count, shape.bits);
    let mut notes = vec!["raw: numbers of the sensor, less its black level".to_owned()];
    if !levels.is_said {
        notes.push("no black level is named: taken as 0".to_owned());
    }
    let mut frame = Decoded {
        kind,
        size: [area.width, area.height],
        layout,
        values: Values::U16(values),
        places,
        bits: u8::try_from(shape.bits).unwrap_or(16),
        white: levels.white,
        linearity: Linearity::LinearRelative,
        notes,
    }
    .frame()?;
    frame.black = levels.black;
    frame.neutral = neutral(file);
    Ok(frame)
}

/// The largest picture of the sensor's own numbers.
fn main_directory<'f>(file: &'f Directories<'_>) -> Option<&'f Directory> {
    let pixels = |directory: &&Directory| {
        file.whole(directory, tag::WIDTH).unwrap_or(0).saturating_mul(file.whole(directory, tag::HEIGHT).unwrap_or(0))
    };
    file.all
        .iter()
        .filter(|directory| {
            let photometric = file.whole(directory, tag::PHOTOMETRIC);
            // bit 0 of the subfile type marks a smaller copy
            let is_copy = file.whole(directory, tag::SUBFILE).unwrap_or(0) % 2 == 1;
            matches!(photometric, Some(COLOUR_FILTER_ARRAY | LINEAR_RAW)) && !is_copy
        })
        .max_by_key(pixels)
}

struct Shape {
    width: usize,
    height: usize,
    /// Numbers a pixel.
    count: usize,
    bits: usize,
    /// Width and height of a strip or tile.
    piece: [usize; 2],
    is_tiled: bool,
}

impl Shape {
    fn read(file: &Directories<'_>, directory: &Directory, kind: FileKind) -> Result<Self, FrameError> {
        let get = |tag| file.whole(directory, tag);
        let (Some(width), Some(height)) = (get(tag::WIDTH), get(tag::HEIGHT)) else {
            return Err(FrameError::damaged(kind, "its size is missing"));
        };
        if width == 0 || height == 0 {
            return Err(FrameError::NoPixels);
        }
        let count = get(tag::SAMPLES).unwrap_or(1);
        let bits = get(tag::BITS).unwrap_or(8);
        let compression = get(tag::COMPRESSION).unwrap_or(1);
        if compression != 1 {
            return Err(unsupported(&format!("a raw picture packed in way {compression}")));
        }
        if !DEPTHS.contains(&bits) || !matches!(count, 1 | 3) {
            return Err(unsupported(&format!("a raw picture of {count} numbers of {bits} bits a pixel")));
        }
        let tile = get(tag::TILE_WIDTH).zip(get(tag::TILE_HEIGHT));
        let rows = get(tag::ROWS_PER_STRIP).unwrap_or(height).clamp(1, height);
        let piece = tile.map_or([width, rows], |(width, height)| [width, height]);
        if piece.contains(&0) || piece.iter().any(|side| *side > 65_535) {
            return Err(FrameError::damaged(kind, "its tiles have no sensible size"));
        }
        Ok(Self { width, height, count, bits, piece, is_tiled: tile.is_some() })
    }

    fn read_all(&self, file: &Directories<'_>, directory: &Directory, kind: FileKind) -> Result<Vec<u16>, FrameError> {
        let [piece_width, piece_height] = self.piece;
        let across = self.width.div_ceil(piece_width);
        let down = self.height.div_ceil(piece_height);
        let offsets = if self.is_tiled { tag::TILE_OFFSETS } else { tag::STRIP_OFFSETS };
        let offsets = file.wholes(directory, offsets);
        let broken = || FrameError::damaged(kind, "a part of its numbers is missing");
        let pieces = across.checked_mul(down).filter(|pieces| *pieces <= MOST_PIECES).ok_or_else(broken)?;
        // each piece is to be there whole before memory is taken for all of them
        let row_bytes = (piece_width * self.count * self.bits).div_ceil(8);
        for (index, at) in offsets.iter().take(pieces).enumerate() {
            let rows = self.rows_of(index / across);
            let end = row_bytes.checked_mul(rows).and_then(|length| at.checked_add(length));
            if end.is_none_or(|end| end > file.bytes.len()) {
                return Err(broken());
            }
        }
        if offsets.len() < pieces {
            return Err(broken());
        }
        let mut values = vec![0; self.width * self.height * self.count];
        for (index, at) in offsets.into_iter().take(pieces).enumerate() {
            let (left, top) = (index % across * piece_width, index / across * piece_height);
            let columns = piece_width.min(self.width - left) * self.count;
            for row in 0..self.rows_of(index / across).min(self.height - top) {
                let start = ((top + row) * self.width + left) * self.count;
                let bytes = file.bytes.get(at + row * row_bytes..).unwrap_or_default();
                let target = values.get_mut(start..start + columns).unwrap_or_default();
                unpack(bytes, self.bits, file.is_little, target);
            }
        }
        Ok(values)
    }

    /// Rows of a piece that are stored: tiles are always whole, the last strip ends with the picture.
    fn rows_of(&self, piece_row: usize) -> usize {
        let rows = self.piece[1];
        if self.is_tiled { rows } else { rows.min(self.height - piece_row * rows) }
    }
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

/// DNG, tag 50712: stored numbers stand for those of a table; beyond its end they stand for its last.
fn linearize(file: &Directories<'_>, directory: &Directory, values: &mut [u16]) {
    let table = file.wholes(directory, tag::LINEARIZATION);
    let table: Vec<u16> =
        table.into_iter().take(LONGEST_TABLE).map(|value| u16::try_from(value).unwrap_or(u16::MAX)).collect();
    if let Some(last) = table.last() {
        for value in values {
            *value = table.get(usize::from(*value)).copied().unwrap_or(*last);
        }
    }
}

/// DNG, tag 50829: the part of the sensor that sees light; pattern and black level begin at its corner.
struct Area {
    left: usize,
    top: usize,
    width: usize,
    height: usize,
}

impl Area {
    fn read(file: &Directories<'_>, directory: &Directory, shape: &Shape) -> Self {
        let whole = Self { left: 0, top: 0, width: shape.width, height: shape.height };
        let [top, left, bottom, right] = *file.wholes(directory, tag::ACTIVE_AREA).as_slice() else { return whole };
        if top >= bottom || left >= right || bottom > shape.height || right > shape.width {
            return whole;
        }
        Self { left, top, width: right - left, height: bottom - top }
    }

    fn cut(&self, values: &mut Vec<u16>, shape: &Shape) {
        if self.width == shape.width && self.height == shape.height {
            return;
        }
        let length = self.width * shape.count;
        for row in 0..self.height {
            let from = ((self.top + row) * shape.width + self.left) * shape.count;
            values.copy_within(from..from + length, row * length);
        }
        values.truncate(length * self.height);
    }
}
