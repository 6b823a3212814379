//! A copy without metadata: no place, no names, no second picture behind the first. Its pixels are those of the original.

use frame::{FileKind, Orientation};
use job::OpenedPicture;

/// A copy that may be shown.
#[derive(Debug)]
pub(super) struct Stripped {
    pub(super) bytes: Vec<u8>,
    /// Of its file's name.
    pub(super) ending: &'static str,
}

/// Makes it. JPEG and PNG keep their coded pixels and their colour profile to the byte; every other kind is drawn anew as PNG.
pub(super) fn strip(bytes: &[u8]) -> Result<Stripped, String> {
    match frame::sniff(bytes).map_err(|error| error.to_string())? {
        FileKind::Jpeg => {
            let orientation = frame::read_metadata(bytes).orientation.unwrap_or_default();
            let bytes = jpeg(bytes, orientation).ok_or("its JPEG breaks off")?;
            Ok(Stripped { bytes, ending: "jpg" })
        }
        FileKind::Png if frame::read_metadata(bytes).orientation.unwrap_or_default() == Orientation::Upright => {
            let bytes = png(bytes).ok_or("its PNG breaks off")?;
            Ok(Stripped { bytes, ending: "png" })
        }
        _ => drawn(bytes),
    }
}

fn drawn(bytes: &[u8]) -> Result<Stripped, String> {
    let drawn = OpenedPicture::open(bytes, true).and_then(|picture| {
        let [width, height] = picture.size_px();
        picture.small(width.max(height))
    });
    let drawn = drawn.map_err(|error| error.problem)?;
    let png = draw::picture_png([drawn.width, drawn.height], &drawn.rgb, draw::Palette::Day);
    Ok(Stripped { bytes: png, ending: "png" })
}

const SOI: [u8; 2] = [0xff, 0xd8];
const EOI: [u8; 2] = [0xff, 0xd9];

/// ISO/IEC 10918-1, annex B: only segments that the picture is drawn from are copied; what follows the end is left out.
fn jpeg(bytes: &[u8], orientation: Orientation) -> Option<Vec<u8>> {
    let mut out = Vec::new();
    out.extend_from_slice(bytes.get(..2).filter(|head| *head == SOI)?);
    let mut is_told = false;
    let mut at = 2;
    loop {
        while bytes.get(at) == Some(&0xff) && bytes.get(at + 1) == Some(&0xff) {
            at += 1;
        }
        let (0xff, marker) = (*bytes.get(at)?, *bytes.get(at + 1)?) else { return None };
        if marker == 0xd9 {
            out.extend_from_slice(&EOI);
            return Some(out);
        }
        if matches!(marker, 0x01 | 0xd0..=0xd7) {
            out.extend_from_slice(bytes.get(at..at + 2)?);
            at += 2;
            continue;
        }
        let length = usize::from(u16::from_be_bytes([*bytes.get(at + 2)?, *bytes.get(at + 3)?]));
        let segment = bytes.get(at..at + 2 + length.max(2))?;
        at += segment.len();
        // JFIF's head must stay the first one
        if marker != 0xe0 && !is_told {
            out.extend(orientation_segment(orientation));
            is_told = true;
        }
        if stays(marker, segment.get(4..).unwrap_or_default()) {
            out.extend_from_slice(segment);
        }
        if marker == 0xda {
            let scan = scan_length(bytes.get(at..)?);
            out.extend_from_slice(bytes.get(at..at + scan)?);
            at += scan;
        }
    }
}

/// Tables, frames and scans, and the application data that a picture needs to be shown right: size of a pixel, colour profile,
/// colour transform. Anything else, reserved markers too, may carry words.
fn stays(marker: u8, content: &[u8]) -> bool {
    match marker {
        // a JFIF head may carry a small picture: only one without is kept
        0xe0 => content.starts_with(b"JFIF\0") && content.len() == 14,
        0xe2 => content.starts_with(b"ICC_PROFILE\0"),
        0xee => content.starts_with(b"Adobe"),
        // frames and their tables (table B.1), but for the one reserved among them; scans, tables, lines, restarts
        0xc0..=0xc7 | 0xc9..=0xcf | 0xda..=0xdd => true,
        _ => false,
    }
}

/// Coded pixels up to the next marker that is none of their own.
fn scan_length(bytes: &[u8]) -> usize {
    let marker = bytes.windows(2).position(|pair| pair[0] == 0xff && !matches!(pair[1], 0x00 | 0xd0..=0xd7 | 0xff));
    marker.unwrap_or(bytes.len())
}

/// EXIF with the orientation and nothing else; none for an upright picture.
fn orientation_segment(orientation: Orientation) -> Vec<u8> {
    let number = (1..=8u8).find(|number| Orientation::from_exif(u32::from(*number)) == Some(orientation));
    let Some(number) = number.filter(|number| *number != 1) else { return Vec::new() };
    let mut segment = vec![0xff, 0xe1, 0, 34];
    segment.extend_from_slice(b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0");
    segment.extend_from_slice(&[number, 0, 0, 0, 0, 0, 0]);
    segment
}

const PNG_MARK: &[u8] = b"\x89PNG\r\n\x1a\n";
/// Chunks that a picture needs to be shown right (PNG, third edition, clause 11).
const PNG_STAYS: [&[u8]; 11] =
    [b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"cHRM", b"gAMA", b"iCCP", b"sRGB", b"sBIT", b"cICP"];

fn png(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut rest = bytes.strip_prefix(PNG_MARK)?;
    let mut out = PNG_MARK.to_vec();
    loop {
        let length = usize::try_from(u32::from_be_bytes(rest.get(..4)?.try_into().ok()?)).ok()?;
        let kind = rest.get(4..8)?;
        let (chunk, after) = rest.split_at_checked(length.checked_add(12)?)?;
        if PNG_STAYS.contains(&kind) {
            out.extend_from_slice(chunk);
        }
        if kind == b"IEND" {
            return Some(out);
        }
        rest = after;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn segment(marker: u8, content: &[u8]) -> Vec<u8> {
        let length = u16::try_from(content.len() + 2).unwrap().to_be_bytes();
        [&[0xff, marker], &length[..], content].concat()
    }

    #[test]
    fn a_jpeg_keeps_its_pixels_and_loses_its_words() {
        let scan = [segment(0xda, b"\x01\x01\0\0\x3f\0"), b"\x12\xff\0\xff\xd0\x34".to_vec()].concat();
        let whole = [
            SOI.to_vec(),
            segment(0xe1, b"Exif\0\0 a place"),
            segment(0xe2, b"ICC_PROFILE\0\x01\x01profile"),
            segment(0xe2, b"MPF\0 a second picture"),
            segment(0xed, b"Photoshop 3.0\0 a name"),
            segment(0xfe, b"<script>"),
            // reserved: no decoder reads them
            segment(0x02, b"a name"),
            segment(0xbf, b"a name"),
            segment(0xc8, b"a name"),
            segment(0xf0, b"a place"),
            segment(0xfd, b"a place"),
            segment(0xc4, b"codes"),
            segment(0xdd, b"\0\x04"),
            segment(0xdb, b"a table"),
            scan.clone(),
            EOI.to_vec(),
            b"a film behind the picture".to_vec(),
        ]
        .concat();
        let wanted = [
            SOI.to_vec(),
            segment(0xe2, b"ICC_PROFILE\0\x01\x01profile"),
            segment(0xc4, b"codes"),
            segment(0xdd, b"\0\x04"),
            segment(0xdb, b"a table"),
            scan,
            EOI.to_vec(),
        ]
        .concat();
        assert_eq!(jpeg(&whole, Orientation::Upright), Some(wanted));
        assert_eq!(jpeg(&whole[..whole.len() - 40], Orientation::Upright), None);
    }

    #[test]
    fn a_turned_jpeg_still_says_so_and_nothing_else() {
        let told = orientation_segment(Orientation::TurnedClockwise);
        assert_eq!(told.len(), 36);
        let whole = [SOI.to_vec(), told, EOI.to_vec()].concat();
        let read = frame::read_metadata(&whole);
        assert_eq!(read.orientation, Some(Orientation::TurnedClockwise));
    }

    #[test]
    fn a_png_loses_its_text() {
        let chunk = |kind: &[u8], content: &[u8]| {
            [&u32::try_from(content.len()).unwrap().to_be_bytes()[..], kind, content, b"crc!"].concat()
        };
        let whole = [
            PNG_MARK.to_vec(),
            chunk(b"IHDR", b"x"),
            chunk(b"tEXt", b"a place"),
            chunk(b"IEND", b""),
            b"behind".to_vec(),
        ];
        let wanted = [PNG_MARK.to_vec(), chunk(b"IHDR", b"x"), chunk(b"IEND", b"")].concat();
        assert_eq!(png(&whole.concat()), Some(wanted));
    }
}
