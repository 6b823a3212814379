//! XMP in a PNG: an uncompressed `iTXt` chunk (XMP specification part 3, 1.1.5; PNG third edition, 11.3.3.4).

use super::broken;
use crate::Failure;

pub(super) const SIGNATURE: [u8; 8] = [0x89, b'P', b'N', b'G', 0x0d, 0x0a, 0x1a, 0x0a];
const KEYWORD: &[u8] = b"XML:com.adobe.xmp\0";

/// A PNG with a packet in place of the one it had.
pub(super) fn with_packet(picture: &[u8], packet: &str) -> Result<Vec<u8>, Failure> {
    let mut content = KEYWORD.to_vec();
    // not compressed, method 0, no language, no translated keyword
    content.extend([0, 0, 0, 0]);
    content.extend(packet.as_bytes());
    let mut out = SIGNATURE.to_vec();
    let mut rest = picture.get(SIGNATURE.len()..).unwrap_or_default();
    let mut is_first = true;
    let mut ended = false;
    while let Some((kind, whole, after)) = first_chunk(rest) {
        let is_xmp = kind == *b"iTXt" && whole.get(8..).is_some_and(|content| content.starts_with(KEYWORD));
        if !is_xmp {
            out.extend(whole);
        }
        // IHDR comes first, by the standard
        if is_first {
            out.extend(chunk(*b"iTXt", &content)?);
            is_first = false;
        }
        rest = after;
        ended |= kind == *b"IEND";
    }
    if !ended {
        return Err(broken("PNG"));
    }
    Ok(out)
}

/// Kind, the whole chunk, and what follows it.
fn first_chunk(bytes: &[u8]) -> Option<([u8; 4], &[u8], &[u8])> {
    let (length, after) = bytes.split_first_chunk::<4>()?;
    let kind = *after.first_chunk::<4>()?;
    let length = usize::try_from(u32::from_be_bytes(*length)).ok()?.checked_add(12)?;
    let (whole, after) = bytes.split_at_checked(length)?;
    Some((kind, whole, after))
}

fn chunk(kind: [u8; 4], content: &[u8]) -> Result<Vec<u8>, Failure> {
    let length = u32::try_from(content.len()).map_err(|_cause| broken("PNG"))?;
    let mut out = length.to_be_bytes().to_vec();
    out.extend(kind);
    out.extend(content);
    let check = crc(out.get(4..).unwrap_or_default());
    out.extend(check.to_be_bytes());
    Ok(out)
}

/// The check sum of PNG third edition, annex D: bit by bit, for a chunk of some kilobytes.
fn crc(bytes: &[u8]) -> u32 {
    let mut sum = u32::MAX;
    for byte in bytes {
        sum ^= u32::from(*byte);
        for _bit in 0..8 {
            sum = if sum & 1 == 1 { 0xedb8_8320 ^ (sum >> 1) } else { sum >> 1 };
        }
    }
    !sum
}
