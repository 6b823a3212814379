//! The values of a field. Unpacking is left to the `grib` crate; this module bounds what it may be asked for, since
//! lengths in a file are only claims, and reads the one packing it lacks.

use std::panic::{AssertUnwindSafe, catch_unwind};

use super::grid::MOST_POINTS;
use super::sections::{RawField, u16_at, u32_at};

/// Octets before the template of section 5, and before the content of sections 6 and 7.
const TEMPLATE: usize = 11;
const CONTENT: usize = 5;
/// Most bits of a packed value.
const MOST_BITS: u8 = 32;
/// Depths that a picture can have; at others the decoder gives wrong values without a word.
const PNG_BITS: [u8; 5] = [1, 2, 4, 8, 16];
const BREAKS: &str = "its packing section breaks off";

/// Unpacks all values in the order of storage; points without a value are NaN.
pub(super) fn values(raw: &RawField<'_>, points: usize) -> Result<Vec<f64>, String> {
    let encoded = u32_at(raw.representation, CONTENT).ok_or(BREAKS)? as usize;
    if encoded > points || points > MOST_POINTS {
        return Err(format!("it announces {encoded} values for {points} points"));
    }
    let template = u16_at(raw.representation, 9).ok_or(BREAKS)?;
    let values = match template {
        4 => ieee(raw, encoded)?,
        0 | 2 | 3 | 40 | 41 | 42 => {
            check(raw, template, encoded)?;
            let rounded = decoded(raw, points)?;
            let lattice = Lattice::of(raw.representation).ok_or(BREAKS)?;
            return Ok(rounded.into_iter().map(|value| lattice.nearest(value)).collect());
        }
        other => return Err(format!("its values are packed by method 5.{other}, which is not read")),
    };
    spread(&values, raw.bitmap, points)
}

/// Refuses sizes that the data cannot bear out, before anything is allocated for them.
fn check(raw: &RawField<'_>, template: u16, encoded: usize) -> Result<(), String> {
    let bits = *raw.representation.get(TEMPLATE + 8).ok_or(BREAKS)?;
    if bits > MOST_BITS {
        return Err(format!("its values have {bits} bits, more than {MOST_BITS}"));
    }
    let data = raw.data.get(CONTENT..).ok_or(BREAKS)?;
    match template {
        0 if (data.len() as u64) * 8 < u64::from(bits) * encoded as u64 => {
            Err(format!("its data break off: {encoded} values of {bits} bits in {} bytes", data.len()))
        }
        2 => check_groups(raw.representation, data, 0, encoded),
        3 => {
            let order = usize::from(*raw.representation.get(TEMPLATE + 36).ok_or(BREAKS)?);
            let octets = usize::from(*raw.representation.get(TEMPLATE + 37).ok_or(BREAKS)?);
            check_groups(raw.representation, data, (order + 1) * octets, encoded)
        }
        40 if bits > 0 => check_picture(jpeg_2000_size(data), "JPEG 2000", encoded),
        41 if bits > 0 && !PNG_BITS.contains(&bits) => {
            Err(format!("its values are a PNG picture of {bits} bits, and 1, 2, 4, 8 and 16 can be read rightly"))
        }
        41 if bits > 0 => {
            if png_depth(data) != Some(bits) {
                return Err(format!("its PNG picture does not have the {bits} bits announced"));
            }
            check_picture(png_size(data), "PNG", encoded)
        }
        _simple_or_ccsds => Ok(()),
    }
}

fn check_picture(size: Option<[u32; 2]>, kind: &str, encoded: usize) -> Result<(), String> {
    match size {
        Some([width, height]) if u64::from(width) * u64::from(height) == encoded as u64 => Ok(()),
        Some([width, height]) => {
            Err(format!("its {kind} picture has {width} by {height} points where {encoded} values are announced"))
        }
        None => Err(format!("its data are no {kind} picture of one component")),
    }
}

fn png_size(data: &[u8]) -> Option<[u32; 2]> {
    data.starts_with(b"\x89PNG\r\n\x1a\n").then_some(())?;
    Some([u32_at(data, 16)?, u32_at(data, 20)?])
}

fn png_depth(data: &[u8]) -> Option<u8> {
    const GREY: u8 = 0;
    (*data.get(25)? == GREY).then_some(*data.get(24)?)
}

/// From the SIZ marker at the start of the code stream (ISO/IEC 15444-1, A.5.1).
fn jpeg_2000_size(data: &[u8]) -> Option<[u32; 2]> {
    const MOST_TILES: u64 = 4096;
    data.starts_with(&[0xff, 0x4f, 0xff, 0x51]).then_some(())?;
    let size = [u32_at(data, 8)?.checked_sub(u32_at(data, 16)?)?, u32_at(data, 12)?.checked_sub(u32_at(data, 20)?)?];
    let tile = [u32_at(data, 24)?, u32_at(data, 28)?];
    let tiles: u64 = size.iter().zip(tile).map(|(size, tile)| u64::from(size.div_ceil(tile.max(1)))).product();
    let plain = u16_at(data, 40)? == 1 && data.get(43..45)? == [1, 1];
    (plain && tiles <= MOST_TILES).then_some(size)
}

/// The groups of complex packing must have as many values together as announced: their lengths are read first.
fn check_groups(section: &[u8], data: &[u8], before: usize, encoded: usize) -> Result<(), String> {
    let octet = |offset: usize| section.get(TEMPLATE + offset).copied().ok_or(BREAKS);
    let word = |offset: usize| u32_at(section, TEMPLATE + offset).ok_or(BREAKS);
    let (bits, groups) = (usize::from(octet(8)?), word(20)? as usize);
    let (width_bits, length_bits) = (usize::from(octet(25)?), usize::from(octet(35)?));
    let (reference, increment, last) = (u64::from(word(26)?), u64::from(octet(30)?), u64::from(word(31)?));
    if groups == 0 || groups > encoded {
        return Err(format!("it has {groups} groups for {encoded} values"));
    }
    if length_bits > 32 || width_bits > 32 {
        return Err("the lengths of its groups have too many bits".to_owned());
    }
    let start = before + (groups * bits).div_ceil(8) + (groups * width_bits).div_ceil(8);
    let lengths = data.get(start..start + (groups * length_bits).div_ceil(8));
    let lengths = lengths.ok_or("its data break off in the lengths of its groups")?;
    let mut total = last;
    for group in 0..groups - 1 {
        total += reference + increment * bits_at(lengths, group * length_bits, length_bits);
    }
    if total != encoded as u64 {
        return Err(format!("its groups have {total} values together where {encoded} are announced"));
    }
    Ok(())
}

/// A number of up to 32 bits that may lie across octets.
fn bits_at(bytes: &[u8], at: usize, count: usize) -> u64 {
    (at..at + count).fold(0, |number, bit| {
        let octet = bytes.get(bit / 8).copied().unwrap_or_default();
        number << 1 | u64::from(octet >> (7 - bit % 8) & 1)
    })
}

/// The foreign decoder, which may panic on data it did not foresee.
fn decoded(raw: &RawField<'_>, points: usize) -> Result<Vec<f32>, String> {
    const NO_BITMAP: [u8; 6] = [0, 0, 0, 6, 6, 255];
    let bitmap = raw.bitmap.unwrap_or(&NO_BITMAP).to_vec();
    let work = || {
        let decoder =
            grib::Grib2SubmessageDecoder::new(points, raw.representation.to_vec(), bitmap, raw.data.to_vec())?;
        let values: Vec<f32> = decoder.dispatch()?.collect();
        Ok::<_, grib::GribError>(values)
    };
    match catch_unwind(AssertUnwindSafe(work)) {
        Ok(Ok(values)) if values.len() == points => Ok(values),
        Ok(Ok(values)) => Err(format!("its data break off after {} of {points} values", values.len())),
        Ok(Err(error)) => Err(format!("its data cannot be unpacked: {}", one_line(&error.to_string()))),
        Err(_panic) => Err("its data cannot be unpacked".to_owned()),
    }
}

fn one_line(text: &str) -> String {
    const LONGEST: usize = 80;
    text.split_whitespace().collect::<Vec<_>>().join(" ").chars().take(LONGEST).collect()
}

/// The values a packing can have: reference plus whole steps. The decoder gives single precision, which at 270 K is off
/// by 3e-5; the step it meant is told from that, and the value worked out anew.
struct Lattice {
    reference: f64,
    step: f64,
    scale: f64,
}

impl Lattice {
    fn of(section: &[u8]) -> Option<Self> {
        let reference = f64::from(f32::from_bits(u32_at(section, TEMPLATE)?));
        let exponent = |at: usize| {
            let raw = i32::from(u16_at(section, TEMPLATE + at)?);
            Some(if raw & 0x8000 == 0 { raw } else { -(raw & 0x7fff) })
        };
        Some(Self { reference, step: 2_f64.powi(exponent(4)?), scale: 10_f64.powi(exponent(6)?) })
    }

    fn nearest(&self, rounded: f32) -> f64 {
        let rounded = f64::from(rounded);
        let steps = ((rounded * self.scale - self.reference) / self.step).round();
        let exact = (self.reference + steps * self.step) / self.scale;
        // where single precision is coarser than a step, the step cannot be told, nor does it matter
        let same =
            (exact - rounded).abs() <= rounded.abs() * 4.0 * f64::from(f32::EPSILON) + f64::from(f32::MIN_POSITIVE);
        if same { exact } else { rounded }
    }
}

/// Method 5.4: plain numbers of 4 or 8 octets.
fn ieee(raw: &RawField<'_>, encoded: usize) -> Result<Vec<f64>, String> {
    let data = raw.data.get(CONTENT..).ok_or(BREAKS)?;
    let octets = match raw.representation.get(TEMPLATE) {
        Some(1) => 4,
        Some(2) => 8,
        other => return Err(format!("its numbers have the precision {other:?}, which is not read")),
    };
    if data.len() < encoded * octets {
        return Err(format!("its data break off: {encoded} numbers of {octets} octets in {} bytes", data.len()));
    }
    let number = |chunk: &[u8]| match chunk.try_into() {
        Ok(eight) => f64::from_be_bytes(eight),
        Err(_four) => f64::from(f32::from_bits(u32_at(chunk, 0).unwrap_or_default())),
    };
    Ok(data.chunks_exact(octets).take(encoded).map(number).collect())
}

/// Puts values where the bit map has a one.
fn spread(values: &[f64], bitmap: Option<&[u8]>, points: usize) -> Result<Vec<f64>, String> {
    let Some(bitmap) = bitmap else {
        return if values.len() == points {
            Ok(values.to_vec())
        } else {
            Err(format!("it has {} values for {points} points", values.len()))
        };
    };
    let map = bitmap.get(CONTENT + 1..).filter(|map| map.len() * 8 >= points).ok_or("its bit map breaks off")?;
    let mut values = values.iter();
    let spread = (0..points)
        .map(|point| if bits_at(map, point, 1) == 1 { values.next().copied().unwrap_or(f64::NAN) } else { f64::NAN })
        .collect();
    Ok(spread)
}
