use heic_decoder::{DecodedImage, HeifError};

use super::{Decoded, coded_curve, interleaved, linearity};
use crate::samples::{Place, Values};
use crate::{FileKind, Frame, FrameError, Layout, Limits, TransferCurve};

const KIND: FileKind = FileKind::Heic;
/// Planes of four bytes a number, half again for the colour, tiles beside them, and the pixels out: 12.5 were measured
/// on a picture of 20 million.
const BYTES_PER_PIXEL: u64 = 13;

/// The main picture, turned as the container says: a HEIC is stored in tiles, and nobody sees it otherwise.
pub(super) fn decode(bytes: &[u8], limits: &Limits) -> Result<Frame, FrameError> {
    let head = heic_decoder::probe(bytes).map_err(|cause| refused(&cause))?;
    let side = |pixels: usize| u64::try_from(pixels).unwrap_or(u64::MAX);
    limits.judge(side(head.coded_width), side(head.coded_height), BYTES_PER_PIXEL)?;
    let size = limits.judge(side(head.width), side(head.height), BYTES_PER_PIXEL)?;
    let image = heic_decoder::decode(bytes).map_err(|cause| refused(&cause))?;
    if [image.width, image.height] != size {
        return Err(FrameError::damaged(KIND, "its pixels are not of the size its head says"));
    }
    let mut notes = Vec::new();
    if image.alpha.is_some() {
        notes.push("its transparency is left out".to_owned());
    }
    let said = match &image.color_info {
        Some(colours) => coded_curve(colours.transfer_characteristics)?,
        None => None,
    };
    let profile = image.metadata.icc_profile.as_deref();
    let linearity = linearity(profile, said, TransferCurve::Srgb, &mut notes);
    let (layout, places, values, bits, white) = numbers(image)?;
    Decoded { kind: KIND, size, layout, values, places, bits, white, linearity, notes }.frame()
}

type Numbers = (Layout, [Place; 3], Values, u8, f32);

fn numbers(mut image: DecodedImage) -> Result<Numbers, FrameError> {
    image.alpha = None;
    let (layout, places) = interleaved(3);
    if image.bit_depth_luma > 8 {
        let bits = u8::try_from(image.bit_depth_luma).unwrap_or(16);
        let rgb = image.to_rgb16().map_err(|cause| refused(&cause))?;
        return Ok((layout, places, Values::U16(rgb.data), bits, 65_535.0));
    }
    let rgb = image.to_rgb8().map_err(|cause| refused(&cause))?;
    Ok((layout, places, Values::bytes(rgb.data), 8, 255.0))
}

fn refused(cause: &HeifError) -> FrameError {
    FrameError::Unsupported { what: format!("this HEIC file ({cause})"), remedy: "export it as JPEG" }
}
