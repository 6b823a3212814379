//! Pictures as files: PNG, JPEG or TIFF, by their names.

use std::io::Cursor;
use std::path::Path;

use tiff::encoder::{TiffEncoder, colortype};
use tiff::tags::Tag;

use super::credit::{CreditFields, packet};
use crate::Failure;

/// Quality of a JPEG, of 100, with colour at the full size: no loss is seen at arm's length. Common practice, no source.
const JPEG_QUALITY: u8 = 94;
/// TIFF tag of an XMP packet: XMP specification part 3, 1.1.6.
const XMP_TAG: u16 = 700;

/// A form of picture file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum PictureKind {
    /// 8 bits, without loss.
    Png,
    /// 8 bits, with loss.
    Jpeg,
    /// 16 bits, without loss or packing.
    Tiff,
}

impl PictureKind {
    /// By a file's name.
    pub(crate) fn of(path: &Path) -> Option<Self> {
        let ending = path.extension()?.to_str()?.to_ascii_lowercase();
        match ending.as_str() {
            "png" => Some(Self::Png),
            "jpg" | "jpeg" => Some(Self::Jpeg),
            "tif" | "tiff" => Some(Self::Tiff),
            _other => None,
        }
    }
}

/// 8 bits of red, green and blue as a JPEG.
///
/// # Errors
///
/// A side longer than 65 535 px.
pub(crate) fn jpeg([width, height]: [usize; 2], rgb: &[u8]) -> Result<Vec<u8>, Failure> {
    let side = |px: usize| {
        let too_long = |_cause| Failure::new(format!("a JPEG has no side of {px} px"), "export as .png or .tif");
        u16::try_from(px).map_err(too_long)
    };
    let mut bytes = Vec::new();
    jpeg_encoder::Encoder::new(&mut bytes, JPEG_QUALITY)
        .encode(rgb, side(width)?, side(height)?, jpeg_encoder::ColorType::Rgb)
        .map_err(|error| Failure::new(format!("the JPEG cannot be made: {error}"), "export as .png"))?;
    Ok(bytes)
}

/// 16 bits of red, green and blue as a TIFF with its credit.
///
/// # Errors
///
/// More than 4 GB.
pub(crate) fn tiff([width, height]: [usize; 2], rgb: &[u16], fields: &CreditFields) -> Result<Vec<u8>, Failure> {
    let fault = |error: tiff::TiffError| {
        Failure::new(format!("the TIFF cannot be made: {error}"), "export as .png, or smaller with --size-px")
    };
    let side = |px: usize| u32::try_from(px).unwrap_or(u32::MAX);
    let mut bytes = Cursor::new(Vec::new());
    let mut encoder = TiffEncoder::new(&mut bytes).map_err(fault)?;
    let mut image = encoder.new_image::<colortype::RGB16>(side(width), side(height)).map_err(fault)?;
    image.encoder().write_tag(Tag::Unknown(XMP_TAG), packet(fields).as_bytes()).map_err(fault)?;
    image.write_data(rgb).map_err(fault)?;
    Ok(bytes.into_inner())
}
