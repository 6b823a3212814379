use std::fmt;

use serde::{Deserialize, Serialize};

use crate::FrameError;

/// First bytes shown of a file that is not recognised.
const SHOWN_BYTES: usize = 8;
/// The smallest TIFF has a head of 8 bytes; a shorter file with its letters is not called one.
const TIFF_HEAD_BYTES: usize = 8;

/// What a file is, by its first bytes; names and endings are never asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum FileKind {
    /// JPEG, ISO/IEC 10918-1.
    Jpeg,
    /// Portable Network Graphics.
    Png,
    /// TIFF 6.0 or BigTIFF. [`sniff`] says so of the raw kinds too that are built on it; an opened frame knows better.
    Tiff,
    /// Adobe's Digital Negative.
    Dng,
    /// A maker's own raw kind.
    CameraRaw,
    /// Graphics Interchange Format.
    Gif,
    /// WebP.
    WebP,
    /// Windows bitmap.
    Bmp,
    /// High Efficiency Image File, coded in HEVC.
    Heic,
    /// Flexible Image Transport System.
    Fits,
    /// Netpbm grey or colour, in bytes (P5, P6).
    Netpbm,
}

impl fmt::Display for FileKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Jpeg => "JPEG",
            Self::Png => "PNG",
            Self::Tiff => "TIFF",
            Self::Dng => "DNG",
            Self::CameraRaw => "raw",
            Self::Gif => "GIF",
            Self::WebP => "WebP",
            Self::Bmp => "BMP",
            Self::Heic => "HEIC",
            Self::Fits => "FITS",
            Self::Netpbm => "PGM",
        })
    }
}

/// Says what a file is by its first bytes.
///
/// # Errors
///
/// No kind that is read here; a video, and a raw kind that only its maker's programs read, are named with a remedy.
pub fn sniff(bytes: &[u8]) -> Result<FileKind, FrameError> {
    if let Some(kind) = picture(bytes) {
        return Ok(kind);
    }
    if let Some(what) = packed_raw(bytes) {
        return Err(FrameError::PackedRaw { what: what.to_owned() });
    }
    if let Some((what, remedy)) = refused(bytes) {
        return Err(FrameError::Unsupported { what: what.to_owned(), remedy });
    }
    let shown: Vec<String> = bytes.iter().take(SHOWN_BYTES).map(|byte| format!("{byte:02x}")).collect();
    let beginning = if shown.is_empty() { "nothing at all".to_owned() } else { shown.join(" ") };
    Err(FrameError::Unrecognised { beginning })
}

fn picture(bytes: &[u8]) -> Option<FileKind> {
    // the last four are Panasonic's and Olympus's own marks
    const TIFF: [&[u8]; 8] = [b"II\x2a\0", b"MM\0\x2a", b"II\x2b\0", b"MM\0\x2b", b"IIU\0", b"IIRO", b"IIRS", b"MMOR"];
    let begins = |mark: &[u8]| bytes.starts_with(mark);
    if begins(b"\xff\xd8\xff") {
        Some(FileKind::Jpeg)
    } else if begins(b"\x89PNG\r\n\x1a\n") {
        Some(FileKind::Png)
    } else if TIFF.iter().any(|mark| begins(mark)) && bytes.len() >= TIFF_HEAD_BYTES {
        Some(FileKind::Tiff)
    } else if begins(b"GIF87a") || begins(b"GIF89a") {
        Some(FileKind::Gif)
    } else if begins(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
        Some(FileKind::WebP)
    } else if begins(b"SIMPLE  =") {
        Some(FileKind::Fits)
    } else if (begins(b"P5") || begins(b"P6")) && bytes.get(2).is_some_and(u8::is_ascii_whitespace) {
        Some(FileKind::Netpbm)
    } else if begins(b"BM") && bytes.get(6..10) == Some(&[0; 4]) {
        // the four reserved bytes are zero; "BM" alone begins too many other things
        Some(FileKind::Bmp)
    } else {
        brand(bytes).filter(|brand| is_heif(brand)).map(|_| FileKind::Heic)
    }
}

/// The major brand of an ISO base media file.
fn brand(bytes: &[u8]) -> Option<&[u8]> {
    (bytes.get(4..8)? == b"ftyp").then(|| bytes.get(8..12)).flatten()
}

fn is_heif(brand: &[u8]) -> bool {
    const BRANDS: [&[u8]; 8] = [b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"];
    BRANDS.contains(&brand)
}

/// Raw kinds that are not built on TIFF.
fn packed_raw(bytes: &[u8]) -> Option<&'static str> {
    if bytes.starts_with(b"FUJIFILMCCD-RAW") {
        Some("a Fujifilm RAF raw file")
    } else if brand(bytes) == Some(b"crx ") {
        Some("a Canon CR3 raw file")
    } else {
        None
    }
}

/// Kinds that people do hand in, with what to do instead.
fn refused(bytes: &[u8]) -> Option<(&'static str, &'static str)> {
    if let Some(brand) = brand(bytes) {
        return Some(match brand {
            b"avif" | b"avis" => ("an AVIF file", "export it as JPEG or PNG"),
            _ => ("a video", "give a still picture, or one frame of the video saved as PNG"),
        });
    }
    let begins = |mark: &[u8]| bytes.starts_with(mark);
    if begins(b"\0\0\0\x0cJXL ") || begins(b"\xff\x0a") {
        Some(("a JPEG XL file", "export it as JPEG or PNG"))
    } else if begins(b"\0\0\0\x0cjP  ") {
        Some(("a JPEG 2000 file", "export it as TIFF or PNG"))
    } else if begins(b"\x1f\x8b") || begins(b"PK\x03\x04") || begins(b"7z\xbc\xaf") {
        Some(("a packed file", "unpack it first"))
    } else if begins(b"%PDF") {
        Some(("a PDF file", "export the picture itself as JPEG or PNG"))
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_are_told_by_content() {
        assert_eq!(sniff(b"\xff\xd8\xff\xe0"), Ok(FileKind::Jpeg));
        assert_eq!(sniff(b"\0\0\0\x18ftypheic"), Ok(FileKind::Heic));
        assert_eq!(sniff(b"P5\n2 2\n255\n"), Ok(FileKind::Netpbm));
        assert_eq!(sniff(b"SIMPLE  =                    T"), Ok(FileKind::Fits));
    }

    #[test]
    fn a_video_and_a_packed_file_are_named() {
        let video = sniff(b"\0\0\0\x14ftypqt  ").unwrap_err();
        assert_eq!(video.to_string(), "a video cannot be read here");
        assert!(sniff(b"\x1f\x8b\x08").unwrap_err().hint().contains("unpack"));
        assert_eq!(
            sniff(b"").unwrap_err().to_string(),
            "this is no picture that can be read here; it begins with nothing at all"
        );
    }
}
