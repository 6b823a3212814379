//! XMP in a JPEG: an APP1 segment (XMP specification part 3, 1.1.3) behind what must come first.

use super::broken;
use crate::Failure;

/// Start of image.
pub(super) const START: [u8; 2] = [0xff, 0xd8];
/// What an APP1 segment with XMP begins with.
const NAME: &[u8] = b"http://ns.adobe.com/xap/1.0/\0";
const APP0: u8 = 0xe0;
const APP1: u8 = 0xe1;

/// A JPEG with a packet in place of the one it had.
pub(super) fn with_packet(picture: &[u8], packet: &str) -> Result<Vec<u8>, Failure> {
    let length = u16::try_from(2 + NAME.len() + packet.len()).map_err(|_cause| {
        Failure::new(
            "the caption and credit are too long for a JPEG",
            "shorten them to 60 000 letters in all, or export as .png",
        )
    })?;
    let mut segment = vec![0xff, APP1];
    segment.extend(length.to_be_bytes());
    segment.extend(NAME);
    segment.extend(packet.as_bytes());

    let mut out = START.to_vec();
    let mut rest = picture.get(START.len()..).unwrap_or_default();
    let mut written = false;
    // segments before the picture: JFIF and Exif stay in front, an XMP segment goes
    while let Some((marker, whole, after)) = first_segment(rest) {
        let is_xmp = marker == APP1 && whole.get(4..).is_some_and(|content| content.starts_with(NAME));
        let is_first = marker == APP0 || (marker == APP1 && !is_xmp);
        if !is_first && !is_xmp && !written {
            out.extend(&segment);
            written = true;
        }
        if !is_xmp {
            out.extend(whole);
        }
        rest = after;
        if marker == 0xda {
            break;
        }
    }
    if !written {
        return Err(broken("JPEG"));
    }
    out.extend(rest);
    Ok(out)
}

/// Marker, the whole segment, and what follows it.
fn first_segment(bytes: &[u8]) -> Option<(u8, &[u8], &[u8])> {
    let [0xff, marker, high, low, ..] = *bytes else { return None };
    let length = 2 + usize::from(u16::from_be_bytes([high, low]));
    let (whole, after) = bytes.split_at_checked(length)?;
    Some((marker, whole, after))
}
