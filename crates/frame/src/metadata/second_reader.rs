use nom_exif::{EntryValue, IfdIndex, IfdKind, MediaParser, MediaSource};

use super::tags::{Directory, MOST_NUMBERS, MOST_TEXT_BYTES, Tags, Value};
use crate::FrameError;
use crate::decode::guarded;

/// Entries looked at before the reader gives up: cameras write some hundreds.
const MOST_ENTRIES: usize = 20_000;

/// Settings have no lower code (Exif 2.32, table 8); what describes the picture itself lies below.
const FIRST_EXIF_CODE: u16 = 0x829a;

/// The second reader: knows CR3 and RAF beside the usual kinds, and reads some that are damaged. `None` without EXIF.
pub(crate) fn read(bytes: &[u8]) -> Option<Tags> {
    guarded(crate::FileKind::Jpeg, || {
        let none = |_cause| FrameError::NoPixels;
        let source = MediaSource::from_memory(bytes.to_vec()).map_err(none)?;
        let entries = MediaParser::new().parse_exif(source).map_err(none)?;
        let mut tags = Tags::default();
        for entry in entries.take(MOST_ENTRIES).filter(|entry| entry.ifd() == IfdIndex::MAIN) {
            let directory = match entry.ifd_kind() {
                // in CR3 the directory of settings stands beside the first one, not below it
                IfdKind::Tiff if entry.tag().code() >= FIRST_EXIF_CODE => Directory::Exif,
                IfdKind::Tiff => Directory::Picture,
                IfdKind::Exif => Directory::Exif,
                IfdKind::Gps => Directory::Gps,
                IfdKind::Interop => Directory::Interoperability,
                _ => continue,
            };
            if let Some(value) = entry.value().and_then(value) {
                tags.keep((directory, entry.tag().code()), value);
            }
        }
        Ok(tags)
    })
    .ok()
}

fn value(value: &EntryValue) -> Option<Value> {
    if let EntryValue::Undefined(bytes) = value {
        let bytes = bytes.get(..MOST_TEXT_BYTES).unwrap_or(bytes);
        return Some(Value::Text(String::from_utf8_lossy(bytes).into_owned()));
    }
    if let Some(list) = value.as_urational_slice() {
        return Some(numbers(list, |n| n.to_f64().unwrap_or(f64::NAN)));
    }
    if let Some(list) = value.as_u16_slice() {
        return Some(numbers(list, |n| f64::from(*n)));
    }
    if let Some(list) = value.as_u8_slice() {
        return Some(numbers(list, |n| f64::from(*n)));
    }
    if let Some(list) = value.as_u32_slice() {
        return Some(numbers(list, |n| f64::from(*n)));
    }
    if let Some(number) = value.as_urational() {
        return Some(Value::Numbers(vec![number.to_f64().unwrap_or(f64::NAN)]));
    }
    if let Some(number) = value.as_irational() {
        return Some(Value::Numbers(vec![number.to_f64().unwrap_or(f64::NAN)]));
    }
    if let Some(text) = value.as_str() {
        return Some(Value::Text(text.chars().take(MOST_TEXT_BYTES).collect()));
    }
    // a date is given as a date; it is read again with all others
    if value.as_datetime().is_some() {
        return Some(Value::Text(value.to_string()));
    }
    value.try_as_float().or_else(|| value.try_as_integer().and_then(small)).map(|number| Value::Numbers(vec![number]))
}

fn small(number: i64) -> Option<f64> {
    i32::try_from(number).ok().map(f64::from)
}

fn numbers<T>(list: &[T], number: impl Fn(&T) -> f64) -> Value {
    Value::Numbers(list.iter().take(MOST_NUMBERS).map(number).collect())
}
