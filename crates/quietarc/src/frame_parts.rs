//! The sharpest and the softest part of a checked frame as a picture, for the command and for browsers that cannot open it.

use draw::{Palette, picture_png};
use job::{CheckReport, OpenedPicture};

use crate::Failure;

/// Both parts side by side as PNG, one pixel of the frame for one of the picture, with what they show in words.
///
/// * `side_px`: columns and rows of each part.
///
/// # Errors
///
/// A picture that cannot be opened, or without stars in two parts of the frame.
pub(crate) fn png(
    bytes: &[u8],
    report: &CheckReport,
    side_px: usize,
    palette: Palette,
) -> Result<(Vec<u8>, String), Failure> {
    let parts = report.focus.as_ref().and_then(|focus| focus.parts.as_ref()).ok_or_else(|| {
        Failure::new(
            format!("no parts of {} can be compared: its stars were measured in fewer than two of them", report.file),
            "use a frame with stars all over, as it left the camera",
        )
    })?;
    let unreadable = |error: job::UnreadablePicture| Failure::new(error.to_string(), error.hint());
    let picture = OpenedPicture::open(bytes, false).map_err(unreadable)?;
    let picture = picture.parts(parts, side_px).map_err(unreadable)?;
    Ok((picture_png(picture.size_px, &picture.rgb, palette), parts.words.clone()))
}
