use std::io::Cursor;

use exif::{Context, Exif, In, Reader, Tag as ExifTag, Value as ExifValue};

use super::tags::{Directory, MOST_NUMBERS, MOST_TEXT_BYTES, Tags, Value, names};
use crate::FrameError;
use crate::decode::guarded;

/// The first reader: knows JPEG, TIFF and the raw kinds built on it, PNG, WebP, HEIC. `None` without EXIF.
pub(crate) fn read(bytes: &[u8]) -> Option<Tags> {
    // asks tag by tag: values are read when asked for, so a directory full of claims to the whole file costs nothing
    guarded(crate::FileKind::Jpeg, || {
        let exif = open(bytes).ok_or(FrameError::NoPixels)?;
        let mut tags = Tags::default();
        for tag in names::ALL {
            let context = match tag.0 {
                Directory::Picture => Context::Tiff,
                Directory::Exif => Context::Exif,
                Directory::Gps => Context::Gps,
                Directory::Interoperability => Context::Interop,
            };
            let field = exif.get_field(ExifTag(context, tag.1), In::PRIMARY);
            // TIFF/EP (ISO 12234-2) has the settings in the first directory
            let field = field.or_else(|| {
                let is_setting = context == Context::Exif;
                is_setting.then(|| exif.get_field(ExifTag(Context::Tiff, tag.1), In::PRIMARY)).flatten()
            });
            if let Some(value) = field.and_then(|field| value(&field.value)) {
                tags.keep(tag, value);
            }
        }
        Ok(tags)
    })
    .ok()
}

fn open(bytes: &[u8]) -> Option<Exif> {
    let mut reader = Reader::new();
    reader.continue_on_error(true);
    let result = match as_plain_tiff(bytes) {
        Some(plain) => reader.read_raw(plain),
        None => reader.read_from_container(&mut Cursor::new(bytes)),
    };
    // what could be read before an error is worth having
    result.or_else(|error| error.distill_partial_result(|_errors| ())).ok()
}

/// The mark of Panasonic's raw files.
const PANASONIC: [u8; 4] = *b"IIU\0";

/// Two makers write TIFF with a mark of their own in place of the number 42.
fn as_plain_tiff(bytes: &[u8]) -> Option<Vec<u8>> {
    let mark = bytes.get(..4)?;
    (mark == PANASONIC || mark == b"IIRO" || mark == b"IIRS").then(|| {
        let mut plain = bytes.to_vec();
        plain[2..4].copy_from_slice(&[0x2a, 0]);
        plain
    })
}

fn value(value: &ExifValue) -> Option<Value> {
    Some(match value {
        ExifValue::Ascii(texts) => {
            let mut text = String::new();
            for part in texts.iter().take(MOST_NUMBERS).filter(|part| !part.is_empty()) {
                let part = part.get(..MOST_TEXT_BYTES).unwrap_or(part);
                if !text.is_empty() {
                    text.push(' ');
                }
                text.push_str(&String::from_utf8_lossy(part));
            }
            Value::Text(text)
        }
        ExifValue::Undefined(bytes, _) => {
            let bytes = bytes.get(..MOST_TEXT_BYTES).unwrap_or(bytes);
            Value::Text(String::from_utf8_lossy(bytes).into_owned())
        }
        ExifValue::Byte(list) => numbers(list, |n| f64::from(*n)),
        ExifValue::Short(list) => numbers(list, |n| f64::from(*n)),
        ExifValue::Long(list) => numbers(list, |n| f64::from(*n)),
        ExifValue::SByte(list) => numbers(list, |n| f64::from(*n)),
        ExifValue::SShort(list) => numbers(list, |n| f64::from(*n)),
        ExifValue::SLong(list) => numbers(list, |n| f64::from(*n)),
        ExifValue::Rational(list) => numbers(list, exif::Rational::to_f64),
        ExifValue::SRational(list) => numbers(list, exif::SRational::to_f64),
        ExifValue::Float(list) => numbers(list, |n| f64::from(*n)),
        ExifValue::Double(list) => numbers(list, |n| *n),
        ExifValue::Unknown(..) => return None,
    })
}

fn numbers<T>(list: &[T], number: impl Fn(&T) -> f64) -> Value {
    Value::Numbers(list.iter().take(MOST_NUMBERS).map(number).collect())
}
