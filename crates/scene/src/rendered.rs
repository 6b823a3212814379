use std::io::Write;

use crate::develop::Development;
use crate::readout::Numbers;
use crate::tiff_writer::Field;
use crate::{SceneError, SceneSpec, Truth, exif};

/// A picture taken: the sensor's numbers, what they were made of, and what is true of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Rendered {
    /// The scene.
    pub spec: SceneSpec,
    /// The sensor's numbers.
    pub mosaic: Numbers,
    /// What is true.
    pub truth: Truth,
}

/// Version of DNG written and the oldest reader's (DNG 1.4).
const DNG_VERSION: [u8; 4] = [1, 4, 0, 0];
/// Oldest version whose readers can open the file.
const DNG_BACKWARD: [u8; 4] = [1, 1, 0, 0];
/// From CIE XYZ to the camera's colours under D65, in ten thousandths: that of an ordinary camera, rounded.
const COLOUR_MATRIX: [i32; 9] = [7800, -2500, -900, -4700, 12_700, 2200, -900, 1800, 6900];

impl Rendered {
    /// As a camera's JPEG with its EXIF.
    ///
    /// # Errors
    ///
    /// A side of more than 65 535 pixels.
    pub fn to_jpeg(&self, development: &Development) -> Result<Vec<u8>, SceneError> {
        let failed = |reason: String| SceneError::Packing { kind: "JPEG", reason };
        let size = [self.mosaic.width, self.mosaic.height];
        let [width, height] = size.map(|side| u16::try_from(side).ok());
        let (Some(width), Some(height)) = (width, height) else {
            return Err(failed(format!("its sides are {size:?}")));
        };
        let pixels = development.eight_bits(&self.mosaic);
        let mut bytes = Vec::new();
        let mut encoder =
            image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, development.quality.clamp(1, 100));
        encoder
            .encode(&pixels, width.into(), height.into(), image::ExtendedColorType::Rgb8)
            .map_err(|error| failed(error.to_string()))?;
        Ok(with_exif(&bytes, &exif::block(&self.spec, size)))
    }

    /// As a PNG of 16 bits a colour, with sRGB's curve and the EXIF.
    ///
    /// # Errors
    ///
    /// What the encoder refuses.
    pub fn to_png16(&self, development: &Development) -> Result<Vec<u8>, SceneError> {
        let failed = |error: &dyn std::fmt::Display| SceneError::Packing { kind: "PNG", reason: error.to_string() };
        let numbers = &self.mosaic;
        let size = [numbers.width, numbers.height];
        let side = |side: usize| u32::try_from(side).map_err(|error| failed(&error));
        let mut info = png::Info::with_size(side(numbers.width)?, side(numbers.height)?);
        info.color_type = png::ColorType::Rgb;
        info.bit_depth = png::BitDepth::Sixteen;
        info.srgb = Some(png::SrgbRenderingIntent::Perceptual);
        info.exif_metadata = Some(exif::block(&self.spec, size).into());
        let mut bytes = Vec::new();
        let mut encoder = png::Encoder::with_info(&mut bytes, info).map_err(|error| failed(&error))?;
        encoder.set_compression(png::Compression::Fast);
        let mut writer = encoder.write_header().map_err(|error| failed(&error))?;
        let mut stream = writer.stream_writer().map_err(|error| failed(&error))?;
        let mut outcome = Ok(());
        development.sixteen_bits(numbers, |row| {
            if outcome.is_ok() {
                outcome = stream.write_all(row);
            }
        });
        outcome.map_err(|error| failed(&error))?;
        stream.finish().map_err(|error| failed(&error))?;
        writer.finish().map_err(|error| failed(&error))?;
        Ok(bytes)
    }

    /// As an open DNG: the sensor's numbers in 16 bits, not packed.
    pub fn to_dng(&self) -> Vec<u8> {
        let numbers = &self.mosaic;
        let size = [numbers.width, numbers.height];
        let long = |value: usize| Field::Longs(vec![u32::try_from(value).unwrap_or(u32::MAX)]);
        let mut first = exif::picture_directory(&self.spec);
        first.add(254, long(0));
        first.add(256, long(size[0]));
        first.add(257, long(size[1]));
        first.add(258, Field::Shorts(vec![16]));
        first.add(259, Field::Shorts(vec![1]));
        first.add(262, Field::Shorts(vec![32_803]));
        first.add(273, Field::DataAt);
        first.add(277, Field::Shorts(vec![1]));
        first.add(278, long(size[1]));
        first.add(279, long(2 * numbers.values.len()));
        first.add(284, Field::Shorts(vec![1]));
        first.add(33_421, Field::Shorts(vec![2, 2]));
        first.add(33_422, Field::Bytes(vec![0, 1, 1, 2]));
        first.add(34_665, Field::Directory(exif::settings(&self.spec, size)));
        if self.spec.kit.writes_position {
            first.add(34_853, Field::Directory(exif::position(&self.spec)));
        }
        first.add(50_706, Field::Bytes(DNG_VERSION.to_vec()));
        first.add(50_707, Field::Bytes(DNG_BACKWARD.to_vec()));
        first.add(50_708, Field::Text(format!("{} {}", self.spec.kit.make, self.spec.kit.model)));
        first.add(50_710, Field::Bytes(vec![0, 1, 2]));
        first.add(50_711, Field::Shorts(vec![1]));
        first.add(50_713, Field::Shorts(vec![2, 2]));
        first.add(50_714, Field::Shorts(vec![numbers.black; 4]));
        first.add(50_717, Field::Longs(vec![numbers.white.into()]));
        first.add(50_721, Field::SignedRationals(COLOUR_MATRIX.iter().map(|value| [*value, 10_000]).collect()));
        let balance = Development::default().white_balance;
        first.add(
            50_728,
            Field::Rationals(balance.iter().map(|factor| exif::rational((1e6 / factor).round() / 1e6)).collect()),
        );
        first.add(50_778, Field::Shorts(vec![21]));
        let mut bytes = first.file();
        bytes.reserve_exact(2 * numbers.values.len());
        bytes.extend(numbers.values.iter().flat_map(|value| value.to_le_bytes()));
        bytes
    }

    /// Electrons of a pixel by its number, noise included; a clipped one tells no more than where it clips.
    pub fn electrons(&self, x: usize, y: usize) -> Option<f64> {
        let numbers = &self.mosaic;
        let value = (x < numbers.width).then(|| numbers.values.get(y * numbers.width + x)).flatten()?;
        Some((f64::from(*value) - f64::from(numbers.black)) * self.truth.electrons_per_step)
    }
}

/// Puts an EXIF segment in the place of a JPEG's first segment after its start, that of JFIF.
fn with_exif(jpeg: &[u8], block: &[u8]) -> Vec<u8> {
    let length = u16::try_from(block.len() + 8).unwrap_or(u16::MAX);
    let jfif_end = match jpeg.get(2..6) {
        Some([0xff, 0xe0, high, low]) => 4 + usize::from(u16::from_be_bytes([*high, *low])),
        _ => 2,
    };
    let mut bytes = vec![0xff, 0xd8, 0xff, 0xe1];
    bytes.extend(length.to_be_bytes());
    bytes.extend(b"Exif\0\0");
    bytes.extend(block);
    bytes.extend(jpeg.get(jfif_end..).unwrap_or_default());
    bytes
}
