use crate::decode::Decoded;
use crate::samples::{Place, Values};
use crate::{FileKind, Frame, FrameError, Layout, Linearity, MosaicPattern};

/// A mosaic that another decoder unpacked, to be made a frame.
#[derive(Debug, Clone, PartialEq)]
pub struct RawNumbers {
    /// Columns and rows of the part that sees light.
    pub size: [usize; 2],
    /// Numbers, row by row from the top left.
    pub values: Vec<u16>,
    /// Pattern, from the first pixel.
    pub pattern: MosaicPattern,
    /// Bits of a number.
    pub bits: u8,
    /// Black by column and row parity, `2 (y mod 2) + (x mod 2)`.
    pub black: [f32; 4],
    /// Full scale, above every black.
    pub white: f32,
    /// The camera's answer to what it took for white, green at 1.
    pub neutral: Option<[f64; 3]>,
}

impl Frame {
    /// A frame of numbers that were unpacked elsewhere, with the metadata of the file they come from.
    ///
    /// * `bytes`: the whole file.
    ///
    /// # Errors
    ///
    /// A side of zero, another number of values than the size says, a white that is not above every black.
    pub fn from_raw(numbers: RawNumbers, bytes: &[u8]) -> Result<Self, FrameError> {
        let RawNumbers { size, values, pattern, bits, black, white, neutral } = numbers;
        if size[0] == 0 || size[1] == 0 {
            return Err(FrameError::NoPixels);
        }
        if size[0].checked_mul(size[1]) != Some(values.len()) {
            return Err(FrameError::PlaneSize { width: size[0], height: size[1], samples: values.len() });
        }
        // written so that NaN is refused too
        if !black.iter().all(|level| *level < white) {
            return Err(FrameError::damaged(FileKind::CameraRaw, "its white level is not above its black level"));
        }
        let mut frame = Decoded {
            kind: FileKind::CameraRaw,
            size,
            layout: Layout::Mosaic(pattern),
            values: Values::U16(values),
            places: [Place::ONLY; 3],
            bits,
            white,
            linearity: Linearity::LinearRelative,
            notes: vec!["raw: numbers of the sensor, less its black level".to_owned()],
        }
        .frame()?;
        frame.black = black;
        frame.neutral = neutral;
        crate::metadata::attach(&mut frame, bytes);
        Ok(frame)
    }
}
