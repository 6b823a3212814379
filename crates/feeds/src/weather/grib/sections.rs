//! The skeleton of a GRIB2 file: messages, and in each the sections that make up its fields.

use crate::FeedError;

/// Most fields listed of one file; a global file with every level has about 750.
const MOST_FIELDS: usize = 20_000;
/// Most messages that cannot be read before a file is given up.
const MOST_REJECTED: usize = 1000;
/// Most sections of one message.
const MOST_SECTIONS: usize = 100_000;
/// Octets of the indicator section.
const INDICATOR: usize = 16;
/// Octets of a section's length and number.
const HEADER: usize = 5;

/// The sections of one field, each with its header.
#[derive(Debug, Clone, Copy)]
pub(super) struct RawField<'a> {
    /// Number of its message in the file, from 1.
    pub(super) message: usize,
    pub(super) discipline: u8,
    pub(super) identification: &'a [u8],
    pub(super) grid: &'a [u8],
    pub(super) product: &'a [u8],
    pub(super) representation: &'a [u8],
    /// The bit map in force, with its header; `None` where every point has a value.
    pub(super) bitmap: Option<&'a [u8]>,
    pub(super) data: &'a [u8],
}

/// What a file holds: its fields, and what could not be read.
#[derive(Debug, Default)]
pub(super) struct Skeleton<'a> {
    pub(super) fields: Vec<RawField<'a>>,
    pub(super) rejected: Vec<FeedError>,
}

/// Walks through all messages; padding between them is passed over.
pub(super) fn walk<'a>(bytes: &'a [u8], source_name: &str) -> Skeleton<'a> {
    let mut skeleton = Skeleton::default();
    let mut at = 0;
    let mut number = 0;
    while let Some(start) = next_message(bytes, at) {
        number += 1;
        match message(&bytes[start..], number, &mut skeleton.fields) {
            Ok(length) => at = start + length,
            Err(problem) => {
                let source_name = source_name.to_owned();
                skeleton.rejected.push(FeedError::BadGrib { source_name, message: Some(number), problem });
                at = start + 4;
            }
        }
        if skeleton.fields.len() > MOST_FIELDS || skeleton.rejected.len() > MOST_REJECTED {
            break;
        }
    }
    skeleton
}

fn next_message(bytes: &[u8], at: usize) -> Option<usize> {
    const START: &[u8] = b"GRIB";
    bytes.get(at..)?.windows(START.len()).position(|window| window == START).map(|found| at + found)
}

/// Reads one message and gives its length.
fn message<'a>(bytes: &'a [u8], number: usize, fields: &mut Vec<RawField<'a>>) -> Result<usize, String> {
    let indicator = bytes.get(..INDICATOR).ok_or("it breaks off in its first section")?;
    if indicator[7] != 2 {
        return Err(format!("it is GRIB edition {}, and edition 2 is read", indicator[7]));
    }
    let length = u64_at(indicator, 8).and_then(|length| usize::try_from(length).ok()).unwrap_or(usize::MAX);
    let message = bytes
        .get(..length)
        .filter(|message| message.len() >= INDICATOR + 4)
        .ok_or_else(|| format!("it breaks off: {length} bytes announced, {} there", bytes.len()))?;
    if !message.ends_with(b"7777") {
        return Err("its end (7777) is not where it should be".to_owned());
    }
    let found = sections(&message[INDICATOR..length - 4], number, indicator[6])?;
    fields.extend(found);
    Ok(length)
}

fn sections(mut rest: &[u8], message: usize, discipline: u8) -> Result<Vec<RawField<'_>>, String> {
    let mut latest: [Option<&[u8]>; 6] = [None; 6];
    let mut bitmap = None;
    let mut fields = Vec::new();
    let mut sections = 0;
    while !rest.is_empty() {
        sections += 1;
        if sections > MOST_SECTIONS {
            return Err(format!("it has more than {MOST_SECTIONS} sections"));
        }
        let length = u32_at(rest, 0).map_or(usize::MAX, |length| length as usize);
        let section = rest.get(..length).filter(|section| section.len() >= HEADER);
        let section = section.ok_or_else(|| format!("a section of {length} bytes does not fit into it"))?;
        match section[4] {
            number @ 1..=5 => latest[usize::from(number)] = Some(section),
            6 => match section.get(HEADER) {
                Some(0) => bitmap = Some(section),
                Some(255) => bitmap = None,
                Some(254) if bitmap.is_some() => {}
                other => return Err(format!("its bit map is of kind {other:?}, which is not read")),
            },
            7 => fields.push(RawField {
                message,
                discipline,
                identification: latest[1].ok_or("section 1 is missing")?,
                grid: latest[3].ok_or("section 3, the grid, is missing")?,
                product: latest[4].ok_or("section 4, the product, is missing")?,
                representation: latest[5].ok_or("section 5, the packing, is missing")?,
                bitmap,
                data: section,
            }),
            other => return Err(format!("it has a section {other}, which does not exist")),
        }
        rest = &rest[length..];
    }
    if fields.is_empty() {
        return Err("it has no data section".to_owned());
    }
    Ok(fields)
}

pub(super) fn u16_at(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_be_bytes(bytes.get(at..at.checked_add(2)?)?.try_into().ok()?))
}

pub(super) fn u32_at(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_be_bytes(bytes.get(at..at.checked_add(4)?)?.try_into().ok()?))
}

fn u64_at(bytes: &[u8], at: usize) -> Option<u64> {
    Some(u64::from_be_bytes(bytes.get(at..at.checked_add(8)?)?.try_into().ok()?))
}

/// A number whose first bit is its sign, as GRIB writes them.
pub(super) fn i32_at(bytes: &[u8], at: usize) -> Option<i32> {
    const SIGN: u32 = 1 << 31;
    let raw = u32_at(bytes, at)?;
    let magnitude = i32::try_from(raw & !SIGN).ok()?;
    Some(if raw & SIGN == 0 { magnitude } else { -magnitude })
}
