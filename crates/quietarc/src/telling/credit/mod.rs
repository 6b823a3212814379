//! Who made a picture, what it shows and how it came about, written into an exported copy.
//!
//! The fields are those of the IPTC Photo Metadata Standard 2023.1, in an XMP packet (ISO 16684-1): in a JPEG as the APP1
//! segment of XMP specification part 3, 1.1.3, in a PNG as the `iTXt` chunk of part 3, 1.1.5. No coordinates are ever written.

mod jpeg;
mod packet;
mod png;

pub(crate) use packet::packet;

use crate::Failure;

/// How a picture came about, by the IPTC's vocabulary of digital source types.
///
/// The terms are those that schema.org's `IPTCDigitalSourceEnumeration` takes over; their addresses are as C2PA's libraries
/// write them (`http://cv.iptc.org/newscodes/digitalsourcetype/` and the term).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum DigitalSource {
    /// Elements of several captures put together, or a capture with drawings laid over it.
    Composite,
    /// A capture changed by a rule that it names: the view of an eye.
    Enhanced,
    /// Computed from numbers alone: a drawing, a simulation.
    Computed,
}

impl DigitalSource {
    /// Address of the term.
    pub(crate) fn uri(self) -> &'static str {
        match self {
            Self::Composite => "http://cv.iptc.org/newscodes/digitalsourcetype/compositeCapture",
            Self::Enhanced => "http://cv.iptc.org/newscodes/digitalsourcetype/algorithmicallyEnhanced",
            Self::Computed => "http://cv.iptc.org/newscodes/digitalsourcetype/algorithmicMedia",
        }
    }
}

/// What is written into an exported copy; empty fields are left out.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct CreditFields {
    /// Who took it (IPTC Creator).
    pub(crate) creator: Option<String>,
    /// IPTC Copyright Notice.
    pub(crate) copyright: Option<String>,
    /// Who is to be named beside it (IPTC Credit Line).
    pub(crate) credit_line: Option<String>,
    /// What it shows and what was done to it (IPTC Description).
    pub(crate) caption: Option<String>,
    /// When it was taken, ISO 8601, as coarse as it is known (IPTC Date Created).
    pub(crate) date_created: Option<String>,
    /// Where, in its owner's words and as coarse as the owner wishes (IPTC Sublocation).
    pub(crate) place: Option<String>,
    /// What whoever shows it must heed (IPTC Instructions).
    pub(crate) instructions: Option<String>,
    /// How it came about (IPTC Digital Source Type).
    pub(crate) source: Option<DigitalSource>,
}

/// A finished JPEG or PNG with the fields in it; what it said in XMP before is replaced, and pixels stay as they are.
///
/// # Errors
///
/// Neither a JPEG nor a PNG, one that breaks off before its pixels, or more text than fits into a JPEG (65 kB).
pub(crate) fn with_credit(picture: &[u8], fields: &CreditFields) -> Result<Vec<u8>, Failure> {
    let packet = packet(fields);
    if picture.starts_with(&jpeg::START) {
        return jpeg::with_packet(picture, &packet);
    }
    if picture.starts_with(&png::SIGNATURE) {
        return png::with_packet(picture, &packet);
    }
    Err(Failure::new("credit can be written into a JPEG or a PNG only", "export as .jpg or .png"))
}

/// [`with_credit`] for a picture that can carry it; a drawing in another form stays as it is.
pub(crate) fn credited(picture: Vec<u8>, fields: &CreditFields) -> Result<Vec<u8>, Failure> {
    let carries = picture.starts_with(&png::SIGNATURE) || picture.starts_with(&jpeg::START);
    if carries { with_credit(&picture, fields) } else { Ok(picture) }
}

/// A copy that breaks off where its head should be.
fn broken(kind: &str) -> Failure {
    Failure::new(format!("the exported {kind} breaks off before its picture"), "export it again")
}

#[cfg(test)]
mod tests;
