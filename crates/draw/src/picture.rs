//! A frame, or a part of it, as PNG for the eyes that look at it.

use crate::theme::Palette;

/// Brightest red of a frame shown to dark-adapted eyes, of 255: a dim page, not a lamp.
const DARK_EYES_RED: f64 = 110.0;

/// A picture as PNG. For dark-adapted eyes it is red alone, and dim.
///
/// * `size_px`: columns and rows.
/// * `rgb`: red, green and blue of each pixel, 8 bits of sRGB, row by row.
///
/// A picture whose size and pixels do not fit gives no bytes.
pub fn picture_png(size_px: [usize; 2], rgb: &[u8], palette: Palette) -> Vec<u8> {
    let (kind, pixels) = match palette {
        Palette::DarkEyes => (png::ColorType::Indexed, reds(rgb)),
        Palette::Day | Palette::Print => (png::ColorType::Rgb, rgb.to_vec()),
    };
    let mut bytes = Vec::new();
    // writing to memory does not fail
    encode(&mut bytes, size_px, kind, &pixels).map_or_else(|_unfit| Vec::new(), |()| bytes)
}

/// The brightest channel of each pixel as a place among the dim reds. The root lifts a night's dark sky to where it is seen;
/// it is the same for every picture, so that two can be compared.
fn reds(rgb: &[u8]) -> Vec<u8> {
    rgb.chunks_exact(3)
        .map(|pixel| {
            let brightest = f64::from(pixel.iter().copied().max().unwrap_or(0)) / 255.0;
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 110")]
            let red = (brightest.sqrt() * DARK_EYES_RED) as u8;
            red
        })
        .collect()
}

fn encode(
    out: &mut Vec<u8>,
    [width, height]: [usize; 2],
    kind: png::ColorType,
    pixels: &[u8],
) -> Result<(), png::EncodingError> {
    let size = |side: usize| u32::try_from(side).unwrap_or(0);
    let mut encoder = png::Encoder::new(out, size(width), size(height));
    encoder.set_color(kind);
    encoder.set_depth(png::BitDepth::Eight);
    if kind == png::ColorType::Indexed {
        encoder.set_palette((0..=u8::MAX).flat_map(|red| [red, 0, 0]).collect::<Vec<u8>>());
    }
    encoder.set_compression(png::Compression::Fast);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(pixels)?;
    writer.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn decoded(bytes: &[u8]) -> Vec<u8> {
        let mut decoder = png::Decoder::new(std::io::Cursor::new(bytes));
        decoder.set_transformations(png::Transformations::EXPAND);
        let mut reader = decoder.read_info().unwrap();
        let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
        let used = reader.next_frame(&mut pixels).unwrap().buffer_size();
        pixels.truncate(used);
        pixels
    }

    #[test]
    fn a_picture_comes_back_as_it_was_and_dark_eyes_get_dim_red_alone() {
        let rgb = [255, 255, 255, 0, 200, 3, 0, 0, 0, 9, 8, 7];
        assert_eq!(decoded(&picture_png([2, 2], &rgb, Palette::Day)), rgb);
        let red = decoded(&picture_png([2, 2], &rgb, Palette::DarkEyes));
        assert!(red.chunks(3).all(|pixel| pixel[0] <= 110 && pixel[1] == 0 && pixel[2] == 0), "{red:?}");
        assert!(red[0] == 110 && red[3] == 97 && red[6] == 0);
        assert!(picture_png([3, 3], &rgb, Palette::Day).is_empty());
    }
}
