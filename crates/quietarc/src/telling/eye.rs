//! Eye views as files: one door for command and server. Files are for a screen by day, whatever eyes the page is drawn for.

use draw::{Palette, eye_beside, picture_png};
use job::ToldEye;

use super::credit::{CreditFields, DigitalSource, credited};
use crate::Failure;

/// The eye's view as a PNG with its caption inside.
///
/// # Errors
///
/// A frame of which no eye view can be told, with the reason.
pub(crate) fn eye_file(told: &ToldEye) -> Result<Vec<u8>, Failure> {
    let pictures = told.pictures.as_ref().ok_or_else(|| no_eye_view(told))?;
    let eye = pictures.eye_rgb.as_ref().ok_or_else(|| no_eye_view(told))?;
    credited(picture_png([pictures.width, pictures.height], eye, Palette::Day), &fields(told, DigitalSource::Enhanced))
}

/// Camera and eye side by side with their caption, SVG.
///
/// # Errors
///
/// As [`eye_file`].
pub(crate) fn beside_drawing(told: &ToldEye) -> Result<String, Failure> {
    let pictures = told.pictures.as_ref();
    pictures.and_then(|pictures| eye_beside(&told.report, pictures, Palette::Day)).ok_or_else(|| no_eye_view(told))
}

/// That drawing as a finished file, PNG or SVG, with the caption inside where the form can carry it.
///
/// # Errors
///
/// A picture that breaks off.
pub(crate) fn beside_file(told: &ToldEye, finished: Vec<u8>) -> Result<Vec<u8>, Failure> {
    credited(finished, &fields(told, DigitalSource::Composite))
}

fn no_eye_view(told: &ToldEye) -> Failure {
    Failure::new(
        told.report.verdict.clone(),
        "give a frame of the night sky with stars, or one whose exposure time, ISO and f-number are known",
    )
}

fn fields(told: &ToldEye, source: DigitalSource) -> CreditFields {
    CreditFields { caption: Some(told.report.caption.clone()), source: Some(source), ..CreditFields::default() }
}
