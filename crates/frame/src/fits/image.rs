use super::Header;
use super::header::UNIT_BYTES;
use crate::decode::Decoded;
use crate::samples::{Place, Values};
use crate::{FileKind, Frame, FrameError, Layout, Limits, Linearity, MosaicPattern, Orientation, SampleUnit};

const KIND: FileKind = FileKind::Fits;
/// Parts of a file that are looked through for a picture.
const MOST_PARTS: usize = 64;
/// Bytes a number takes as read.
const BYTES_PER_NUMBER: u64 = 4;
/// Where recorders write the level at which a pixel is full.
const CEILING_KEYWORDS: [&str; 3] = ["SATURATE", "SATLEVEL", "DATAMAX"];

/// The first picture: two axes, or three with one or three planes.
pub(crate) fn decode(bytes: &[u8], limits: &Limits) -> Result<Frame, FrameError> {
    let mut frame = decode_one(bytes, limits, 0)?;
    let pictures = pictures(bytes).claimed;
    if pictures > 1 {
        frame.notes.push(format!("it holds {pictures} pictures: the first is read"));
    }
    Ok(frame)
}

/// The pictures along a third axis; three of them are the colours of one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Pictures {
    /// As the header says.
    pub(crate) claimed: u64,
    /// Those whose numbers are all there.
    pub(crate) there: usize,
}

/// Counts the pictures of a file; none where it cannot be read.
pub(crate) fn pictures(bytes: &[u8]) -> Pictures {
    let count = || {
        let (header, data_at) = first_picture(bytes).ok()?;
        let shape = Shape::read(&header).ok()?;
        let claimed = if shape.planes_read() == 1 { shape.planes } else { 1 };
        let numbers = shape.width.checked_mul(shape.height)?.checked_mul(shape.planes_read() as u64)?;
        let each = numbers.checked_mul(shape.number.bytes() as u64).filter(|bytes| *bytes > 0)?;
        let there = (bytes.len().checked_sub(data_at)? as u64 / each).min(claimed);
        Some(Pictures { claimed, there: usize::try_from(there).ok()? })
    };
    count().unwrap_or(Pictures { claimed: 0, there: 0 })
}

/// Seconds from the beginning of one picture of a cube to the next: the step of a third axis that is time (FITS Standard 4.0, 9.1
/// and 9.3; seconds where no unit is named). `None` where the axis is none.
pub(crate) fn step_s(bytes: &[u8]) -> Option<f64> {
    let (header, _) = first_picture(bytes).ok().filter(|(header, _)| is_time(header))?;
    let unit_s = match header.text("CUNIT3").map_or("s", str::trim) {
        "s" | "" => 1.0,
        "min" => 60.0,
        "h" => 3_600.0,
        "d" => 86_400.0,
        _ => return None,
    };
    header.number("CDELT3").filter(|step| *step > 0.0).map(|step| step * unit_s)
}

/// Whether the third axis is time (FITS Standard 4.0, 9.2.1 names the scales).
fn is_time(header: &Header) -> bool {
    let kind = header.text("CTYPE3").map(|kind| kind.trim().to_ascii_uppercase());
    kind.is_some_and(|kind| matches!(kind.as_str(), "TIME" | "UTC" | "TAI" | "TT" | "GPS" | "UT1" | "LOCAL"))
}

/// A picture of the file by its place along the third axis, from 0.
pub(crate) fn decode_one(bytes: &[u8], limits: &Limits, place: usize) -> Result<Frame, FrameError> {
    let (header, data_at) = first_picture(bytes)?;
    let shape = Shape::read(&header)?;
    let planes = u64::try_from(shape.planes_read()).unwrap_or(1);
    let size = limits.judge(shape.width, shape.height, planes * BYTES_PER_NUMBER)?;
    let pixels = size[0] * size[1];
    let wanted = pixels * shape.planes_read();
    let needed = wanted * shape.number.bytes();
    let from = place.checked_mul(needed).and_then(|before| data_at.checked_add(before));
    let data = from.and_then(|from| bytes.get(from..)).unwrap_or_default();
    let Some(data) = data.get(..needed) else {
        return Err(FrameError::damaged(KIND, format!("{} of {needed} bytes of pixels are there", data.len())));
    };

    let mut notes = vec!["rows are kept in the order of the file".to_owned()];
    let scale = header.number("BSCALE").unwrap_or(1.0);
    let zero = header.number("BZERO").unwrap_or(0.0);
    let values = shape.number.read(data, zero, scale, header.number("BLANK"));
    let layout = layout(&header, &shape, &mut notes);
    let places = match layout {
        Layout::Rgb => [0, 1, 2].map(|index| Place::planar(index, pixels)),
        Layout::Grey | Layout::Mosaic(_) => [Place::ONLY; 3],
    };
    let ceiling = ceiling(&header, &shape, zero, scale, &values, &mut notes);
    let decoded = Decoded {
        kind: KIND,
        size,
        layout,
        values: Values::F32(values),
        places,
        bits: shape.number.bits(),
        white: 1.0,
        linearity: linearity(&header),
        notes,
    };
    let mut frame = decoded.frame()?;
    frame.unit = SampleUnit::FileUnits;
    frame.ceiling = ceiling;
    frame.orientation = orientation(&header);
    Ok(frame)
}

/// The first part with a picture, and where its numbers begin.
fn first_picture(bytes: &[u8]) -> Result<(Header, usize), FrameError> {
    let mut at = 0;
    for part in 0..MOST_PARTS {
        let Some(header) = bytes.get(at..).filter(|rest| !rest.is_empty()).and_then(Header::read) else { break };
        let data_at = at + header.length;
        let is_image = part == 0 || header.text("XTENSION") == Some("IMAGE");
        if is_image && header.count("NAXIS").is_some_and(|axes| axes > 0) {
            return Ok((header, data_at));
        }
        if header.text("ZIMAGE") == Some("T") {
            let what = "a compressed FITS picture".to_owned();
            return Err(FrameError::Unsupported { what, remedy: "unpack it (funpack) and try again" });
        }
        let Some(next) = data_length(&header).and_then(|length| data_at.checked_add(length)) else { break };
        at = next;
    }
    Err(FrameError::damaged(KIND, "no picture is in it"))
}

/// FITS Standard 4.0, equations 1 and 2: bits of the data, filled up to whole units.
fn data_length(header: &Header) -> Option<usize> {
    let axes = header.count("NAXIS")?;
    let mut numbers = u64::from(axes > 0);
    for axis in 1..=axes.min(999) {
        numbers = numbers.checked_mul(header.count(&format!("NAXIS{axis}"))?)?;
    }
    let numbers = numbers.checked_add(header.count("PCOUNT").unwrap_or(0))?;
    let groups = header.count("GCOUNT").unwrap_or(1);
    let bytes = Number::read_kind(header)?.bytes() as u64;
    let length = usize::try_from(numbers.checked_mul(groups)?.checked_mul(bytes)?).ok()?;
    length.div_ceil(UNIT_BYTES).checked_mul(UNIT_BYTES)
}

struct Shape {
    width: u64,
    height: u64,
    planes: u64,
    /// Whether the planes are the colours of one picture.
    is_colour: bool,
    number: Number,
}

impl Shape {
    fn read(header: &Header) -> Result<Self, FrameError> {
        let missing = |keyword: &str| FrameError::damaged(KIND, format!("{keyword} is missing or is not a number"));
        let number = Number::read_kind(header).ok_or_else(|| missing("BITPIX"))?;
        let axes = header.count("NAXIS").ok_or_else(|| missing("NAXIS"))?;
        if axes < 2 {
            return Err(FrameError::damaged(KIND, "its numbers are a row, not a picture"));
        }
        let axis = |keyword: &'static str| header.count(keyword).ok_or_else(|| missing(keyword));
        let planes = if axes > 2 { axis("NAXIS3")?.max(1) } else { 1 };
        let is_colour = planes == 3 && !is_time(header);
        Ok(Self { width: axis("NAXIS1")?, height: axis("NAXIS2")?, planes, is_colour, number })
    }

    fn planes_read(&self) -> usize {
        if self.is_colour { 3 } else { 1 }
    }
}

#[derive(Clone, Copy)]
enum Number {
    U8,
    I16,
    I32,
    F32,
    F64,
}

impl Number {
    fn read_kind(header: &Header) -> Option<Self> {
        Some(match header.text("BITPIX")? {
            "8" => Self::U8,
            "16" => Self::I16,
            "32" => Self::I32,
            "-32" => Self::F32,
            "-64" => Self::F64,
            _ => return None,
        })
    }

    fn bytes(self) -> usize {
        match self {
            Self::U8 => 1,
            Self::I16 => 2,
            Self::I32 | Self::F32 => 4,
            Self::F64 => 8,
        }
    }

    fn bits(self) -> u8 {
        match self {
            Self::U8 => 8,
            Self::I16 => 16,
            Self::I32 | Self::F32 => 32,
            Self::F64 => 64,
        }
    }

    /// Greatest whole number it can hold, where a camera could reach it.
    fn greatest(self) -> Option<f64> {
        match self {
            Self::U8 => Some(255.0),
            Self::I16 => Some(32_767.0),
            Self::I32 | Self::F32 | Self::F64 => None,
        }
    }

    /// Numbers times `scale` plus `zero`; a whole number equal to `blank` is nothing.
    fn read(self, data: &[u8], zero: f64, scale: f64, blank: Option<f64>) -> Vec<f32> {
        let whole = |number: f64| if blank == Some(number) { f32::NAN } else { narrow(zero + scale * number) };
        let real = |number: f64| narrow(zero + scale * number);
        match self {
            Self::U8 => data.iter().map(|byte| whole(f64::from(*byte))).collect(),
            Self::I16 => chunks(data).map(|chunk| whole(f64::from(i16::from_be_bytes(chunk)))).collect(),
            Self::I32 => chunks(data).map(|chunk| whole(f64::from(i32::from_be_bytes(chunk)))).collect(),
            Self::F32 => chunks(data).map(|chunk| real(f64::from(f32::from_be_bytes(chunk)))).collect(),
            Self::F64 => chunks(data).map(|chunk| real(f64::from_be_bytes(chunk))).collect(),
        }
    }
}

fn chunks<const N: usize>(data: &[u8]) -> impl Iterator<Item = [u8; N]> {
    data.as_chunks::<N>().0.iter().copied()
}

#[expect(clippy::cast_possible_truncation, reason = "a plane holds single precision; 16 bits fit in it exactly")]
fn narrow(value: f64) -> f32 {
    value as f32
}

/// Three planes are colour; a Bayer keyword makes a mosaic.
fn layout(header: &Header, shape: &Shape, notes: &mut Vec<String>) -> Layout {
    if shape.planes_read() == 3 {
        notes.push("its three planes are taken as red, green and blue".to_owned());
        return Layout::Rgb;
    }
    let Some(name) = header.text("BAYERPAT").or_else(|| header.text("COLORTYP")) else { return Layout::Grey };
    let Some(pattern) = MosaicPattern::from_name(name) else { return Layout::Grey };
    let is_odd = |keyword| header.count(keyword).is_some_and(|offset| offset % 2 == 1);
    let (right, down) = (usize::from(is_odd("XBAYROFF")), usize::from(is_odd("YBAYROFF")));
    notes.push("the colour pattern is taken to begin with the first row of the file".to_owned());
    Layout::Mosaic(MosaicPattern([0, 1, 2, 3].map(|site| pattern.at(site % 2 + right, site / 2 + down))))
}

/// Electrons only where the header says so plainly; `GAIN` is a camera's setting as often as a factor.
fn linearity(header: &Header) -> Linearity {
    let is_electrons = header.text("BUNIT").is_some_and(|unit| matches!(unit, "electron" | "electrons" | "e-" | "e"));
    let factor = if is_electrons { Some(1.0) } else { header.number("EGAIN").filter(|gain| *gain > 0.0) };
    factor.map_or(Linearity::LinearRelative, |electrons_per_unit| Linearity::LinearElectrons { electrons_per_unit })
}

/// The level the header gives, where the numbers keep to it, or else the greatest number the file can hold.
fn ceiling(
    header: &Header,
    shape: &Shape,
    zero: f64,
    scale: f64,
    values: &[f32],
    notes: &mut Vec<String>,
) -> Option<f32> {
    if let Some((keyword, level)) = header.first_number(&CEILING_KEYWORDS) {
        let level = narrow(level);
        if level > 0.0 && !values.iter().any(|value| *value > level) {
            return Some(level);
        }
        notes.push(format!("{keyword} of {level} is not believed: there are pixels above it"));
    }
    shape.number.greatest().map(|greatest| narrow(zero + scale * greatest))
}

/// FITS Standard 4.0, 4.4.1.1 leaves the display open, custom puts the first row at the bottom; `ROWORDER` overrules.
fn orientation(header: &Header) -> Orientation {
    match header.text("ROWORDER") {
        Some("TOP-DOWN") => Orientation::Upright,
        _ => Orientation::MirroredDown,
    }
}
