//! From bytes to a frame, one module a decoder. Each reads the size first and has it judged.

mod guard;
mod gzip;
mod heic;
mod jpeg;
mod netpbm;
mod png;
mod simple;
mod stack;
mod tiff;

pub(crate) use guard::guarded;
pub(crate) use gzip::unpacked;
pub(crate) use jpeg::decode as jpeg_beside;
pub use stack::{Stack, open_each, open_stack};

use crate::samples::{Place, Values};
use crate::transfer::{CurveSource, Linearity, TransferCurve};
use crate::{FileKind, Frame, FrameError, Layout, Limits, Metadata, Orientation, SampleUnit, sniff};

/// Opens a picture: its numbers, how they relate to light, and its metadata.
///
/// The kind is told by content, also inside a file packed by gzip. The size is read and judged against `limits` before pixels are decoded. Missing or bad
/// metadata never stop a picture: see [`Metadata`]. Panics of the decoders are caught; a panic hook of the program may
/// still print a line, and under `panic = "abort"` nothing can be caught.
///
/// # Errors
///
/// Not a picture that is read here, too large, damaged, without pixels: see [`FrameError`].
///
/// # Example
///
/// ```
/// use frame::{Limits, open};
/// use optics::Channel;
///
/// let bytes = b"P5\n2 1\n65535\n\x00\x00\x80\x00";
/// let frame = open(bytes, &Limits::default())?;
/// assert_eq!(frame.stored_size, [2, 1]);
/// assert!(frame.linearity.is_linear());
/// assert_eq!(frame.plane(Channel::Green)?.samples().as_ref(), [0.0, 32_768.0 / 65_535.0]);
/// # Ok::<(), frame::FrameError>(())
/// ```
pub fn open(bytes: &[u8], limits: &Limits) -> Result<Frame, FrameError> {
    limits.judge_file(bytes)?;
    if let Some(inside) = unpacked(bytes, limits)? {
        return open_plain(&inside, limits);
    }
    open_plain(bytes, limits)
}

/// [`open`], with the finished picture inside a raw file built on TIFF in place of the raw one, where it has a million
/// pixels or more: many times faster, and good enough for choosing among frames.
///
/// # Errors
///
/// As [`open`].
pub fn open_preview(bytes: &[u8], limits: &Limits) -> Result<Frame, FrameError> {
    limits.judge_file(bytes)?;
    // a preview that fails in whatever way leaves the file to the usual road
    if matches!(sniff(bytes), Ok(FileKind::Tiff | FileKind::Dng | FileKind::CameraRaw))
        && let Ok(Some(mut frame)) = guarded(FileKind::CameraRaw, || Ok(crate::raw::preview(bytes, limits)))
    {
        name_grey(&mut frame);
        crate::metadata::attach(&mut frame, bytes);
        return Ok(frame);
    }
    open(bytes, limits)
}

/// A file as it is: what is packed inside a packed file is refused.
fn open_plain(bytes: &[u8], limits: &Limits) -> Result<Frame, FrameError> {
    let mut frame = match sniff(bytes) {
        Ok(kind) => guarded(kind, || decode(kind, bytes, limits))?,
        // raw files of other build may have a picture beside what is not read
        Err(refused) => guarded(FileKind::CameraRaw, || crate::raw::beside(bytes, limits).unwrap_or(Err(refused)))?,
    };
    name_grey(&mut frame);
    crate::metadata::attach(&mut frame, bytes);
    Ok(frame)
}

fn decode(kind: FileKind, bytes: &[u8], limits: &Limits) -> Result<Frame, FrameError> {
    match kind {
        FileKind::Jpeg => jpeg::decode(bytes, limits),
        FileKind::Png => png::decode(bytes, limits),
        FileKind::Tiff | FileKind::Dng | FileKind::CameraRaw => {
            crate::raw::decode(bytes, limits).unwrap_or_else(|| tiff::decode(bytes, limits))
        }
        FileKind::Gif | FileKind::WebP | FileKind::Bmp => simple::decode(kind, bytes, limits),
        FileKind::Heic => heic::decode(bytes, limits),
        FileKind::Fits => crate::fits::decode(bytes, limits),
        FileKind::Netpbm => netpbm::decode(bytes, limits),
    }
}

/// What a decoder found out, before metadata.
pub(crate) struct Decoded {
    pub(crate) kind: FileKind,
    pub(crate) size: [usize; 2],
    pub(crate) layout: Layout,
    pub(crate) values: Values,
    pub(crate) places: [Place; 3],
    pub(crate) bits: u8,
    /// Greatest value of the file: 1.0 in shares of full scale.
    pub(crate) white: f32,
    pub(crate) linearity: Linearity,
    pub(crate) notes: Vec<String>,
}

impl Decoded {
    /// A picture of whole numbers, in shares of full scale.
    pub(crate) fn frame(self) -> Result<Frame, FrameError> {
        let Self { kind, size, layout, values, places, bits, white, linearity, notes } = self;
        let pixels = size[0].saturating_mul(size[1]);
        if !places.iter().all(|place| place.fits(pixels, values.len())) {
            return Err(FrameError::damaged(kind, "there are fewer pixels than its size says"));
        }
        Ok(Frame {
            kind,
            layout,
            stored_size: size,
            bits,
            linearity,
            unit: SampleUnit::FullScale,
            ceiling: Some(1.0),
            orientation: Orientation::Upright,
            metadata: Metadata::default(),
            notes,
            cut_short: false,
            neutral: None,
            values,
            places,
            black: [0.0; 4],
            white,
        })
    }
}

/// Where the channels lie in pixels of `count` numbers: 1 grey, 2 grey and alpha, 3 colour, 4 colour and alpha.
pub(crate) fn interleaved(count: usize) -> (Layout, [Place; 3]) {
    if count < 3 {
        return (Layout::Grey, [Place::interleaved(0, count); 3]);
    }
    (Layout::Rgb, [0, 1, 2].map(|index| Place::interleaved(index, count)))
}

/// How the numbers relate to light: the profile's word, or the file's own, or what is usual for such a file.
pub(crate) fn linearity(
    profile: Option<&[u8]>,
    tag: Option<TransferCurve>,
    usual: TransferCurve,
    notes: &mut Vec<String>,
) -> Linearity {
    if let Some(curve) = profile.and_then(crate::icc::transfer_curve) {
        return Linearity::DecodedTransfer { curve, source: CurveSource::Profile };
    }
    if let Some(curve) = tag {
        return Linearity::DecodedTransfer { curve, source: CurveSource::Tag };
    }
    notes.push(match usual {
        TransferCurve::Linear => "nothing says how the numbers relate to light: taken as proportional".to_owned(),
        _ => "no transfer curve is named: the sRGB curve is assumed, and the camera's own tone curve is not known"
            .to_owned(),
    });
    match usual {
        TransferCurve::Linear => Linearity::LinearRelative,
        curve => Linearity::DecodedTransfer { curve, source: CurveSource::Assumed },
    }
}

/// What files without a word about it usually hold: measuring cameras write 16 bits of grey in proportion to light,
/// everything else is made for a screen. Common practice, no source.
pub(crate) fn usual_curve(layout: Layout, bits: u8) -> TransferCurve {
    match layout {
        Layout::Grey if bits > 8 => TransferCurve::Linear,
        Layout::Mosaic(_) => TransferCurve::Linear,
        Layout::Grey | Layout::Rgb => TransferCurve::Srgb,
    }
}

/// Curves by their number in ITU-T H.273, table 3 (`cICP`, `nclx`); an error for those of high dynamic range.
pub(crate) fn coded_curve(number: u16) -> Result<Option<TransferCurve>, FrameError> {
    Ok(match number {
        1 | 6 | 14 | 15 => Some(TransferCurve::Bt709),
        4 => Some(TransferCurve::Power(2.2)),
        5 => Some(TransferCurve::Power(2.8)),
        8 => Some(TransferCurve::Linear),
        13 => Some(TransferCurve::Srgb),
        16 | 18 => {
            return Err(FrameError::Unsupported {
                what: "a picture of high dynamic range (PQ or HLG)".to_owned(),
                remedy: "export it as a plain JPEG or a 16-bit TIFF",
            });
        }
        _ => None,
    })
}

/// Pairs of bytes, the greater first.
pub(crate) fn words_from_big_endian(bytes: &[u8]) -> Vec<u16> {
    bytes.chunks_exact(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect()
}

/// A colour picture whose channels are all alike is a grey one.
fn name_grey(frame: &mut Frame) {
    if frame.layout != Layout::Rgb {
        return;
    }
    let is_alike = match &frame.values {
        Values::U8(values) => are_alike(values, frame),
        Values::U16(values) => are_alike(values, frame),
        Values::F32(_) => false,
    };
    if is_alike {
        frame.layout = Layout::Grey;
        frame.places = [frame.places[0]; 3];
        frame.notes.push("stored in colour, but the three channels are alike: read as grey".to_owned());
    }
}

fn are_alike<T: PartialEq + Copy>(values: &[T], frame: &Frame) -> bool {
    let pixels = frame.stored_size[0] * frame.stored_size[1];
    let channel = |place: Place| values.iter().skip(place.first).step_by(place.step).take(pixels);
    let [red, green, blue] = frame.places.map(channel);
    red.zip(green).zip(blue).all(|((red, green), blue)| red == green && green == blue)
}
