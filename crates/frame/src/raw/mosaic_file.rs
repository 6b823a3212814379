use super::directory::{Directories, Directory, tag};
use super::levels::{Levels, neutral, pattern};
use super::pieces::Shape;
use super::{COLOUR_FILTER_ARRAY, LINEAR_RAW, packed};
use crate::decode::{Decoded, interleaved};
use crate::samples::{Place, Values};
use crate::{FileKind, Frame, FrameError, Layout, Limits, Linearity};

/// Bytes of memory a number takes as read.
const BYTES_PER_NUMBER: u64 = 2;
/// Numbers of the longest table from stored to linear values: one for each value of 16 bits.
const LONGEST_TABLE: usize = 65_536;

/// The mosaic (or the linear colour picture) of a raw file, cut to its active area.
pub(super) fn decode(file: &Directories<'_>, kind: FileKind, limits: &Limits) -> Result<Frame, FrameError> {
    let directory = main_directory(file).ok_or_else(|| packed("the maker's own raw picture"))?;
    let shape = Shape::read(file, directory, kind)?;
    let number_count = u64::try_from(shape.count).unwrap_or(u64::MAX);
    limits.judge(shape.width as u64, shape.height as u64, number_count * BYTES_PER_NUMBER)?;
    let mut values = shape.read_all(file, directory, kind, limits)?;
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
