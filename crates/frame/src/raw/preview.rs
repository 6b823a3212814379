use super::directory::{Directories, Directory, tag};
use crate::big_endian::be_u32;
use crate::{FileKind, Frame, FrameError, Limits, decode};

/// Two ways in which JPEG lies in a TIFF: old (6) and new (7); the second also means lossless JPEG in raw files.
const JPEG_COMPRESSIONS: [usize; 2] = [6, 7];
/// JPEGs tried, the largest first: heads of previews can be broken.
const MOST_TRIED: usize = 4;

/// The largest finished JPEG of a raw file; `None` where none can be read.
pub(super) fn decode(file: &Directories<'_>, kind: FileKind, limits: &Limits) -> Option<Frame> {
    let found = file.all.iter().flat_map(|directory| jpegs(file, directory)).collect();
    largest(found, kind, limits)
}

/// The JPEG of a raw file that is not built on TIFF (RAF, CR3); `None` where there is none.
///
/// RAF: its place and length stand at bytes 84 and 88. CR3: the first track, at the beginning of the data.
pub(crate) fn beside(bytes: &[u8], limits: &Limits) -> Option<Result<Frame, FrameError>> {
    let found = if bytes.starts_with(b"FUJIFILMCCD-RAW") {
        let at = usize::try_from(be_u32(bytes, 84)?).ok()?;
        let length = usize::try_from(be_u32(bytes, 88)?).ok()?;
        vec![bytes.get(at..at.checked_add(length)?)?]
    } else if bytes.get(4..12) == Some(b"ftypcrx ") {
        vec![media_data(bytes)?]
    } else {
        return None;
    };
    let mut frame = largest(found, FileKind::CameraRaw, limits)?;
    frame.notes.insert(0, "the raw picture is not unpacked here: the JPEG beside it is read in its place".to_owned());
    Some(Ok(frame))
}

/// The bytes of the box `mdat` (ISO/IEC 14496-12, 4.2 and 8.1.1).
fn media_data(bytes: &[u8]) -> Option<&[u8]> {
    let mut at = 0usize;
    loop {
        let head = bytes.get(at..)?;
        let (length, head_bytes) = match be_u32(head, 0)? {
            0 => (head.len(), 8),
            1 => (usize::try_from(u64::from(be_u32(head, 8)?) << 32 | u64::from(be_u32(head, 12)?)).ok()?, 16),
            length => (usize::try_from(length).ok()?, 8),
        };
        if head.get(4..8)? == b"mdat" {
            return head.get(head_bytes..);
        }
        // each box is 8 bytes at least, so this ends
        at = at.checked_add(length.max(8))?;
    }
}

fn largest(mut found: Vec<&[u8]>, kind: FileKind, limits: &Limits) -> Option<Frame> {
    found.retain(|jpeg| jpeg.starts_with(&[0xff, 0xd8, 0xff]));
    found.sort_by_key(|jpeg| std::cmp::Reverse(jpeg.len()));
    let opened = found.into_iter().take(MOST_TRIED).filter_map(|jpeg| decode::jpeg_beside(jpeg, limits).ok());
    let mut frame = opened.max_by_key(|frame| frame.stored_size[0] * frame.stored_size[1])?;
    frame.kind = kind;
    Some(frame)
}

fn jpegs<'a>(file: &Directories<'a>, directory: &Directory) -> Vec<&'a [u8]> {
    let slice = |at: usize, length: usize| file.bytes.get(at..at.checked_add(length)?.min(file.bytes.len()));
    let pointed = file.whole(directory, tag::JPEG_AT).zip(file.whole(directory, tag::JPEG_BYTES));
    let is_jpeg = file.whole(directory, tag::COMPRESSION).is_some_and(|way| JPEG_COMPRESSIONS.contains(&way));
    let strip = match (
        file.wholes(directory, tag::STRIP_OFFSETS).as_slice(),
        file.wholes(directory, tag::STRIP_BYTES).as_slice(),
    ) {
        ([at], [length]) if is_jpeg => slice(*at, *length),
        _ => None,
    };
    [pointed.and_then(|(at, length)| slice(at, length)), strip, file.slice(directory, tag::PANASONIC_JPEG)]
        .into_iter()
        .flatten()
        .collect()
}
