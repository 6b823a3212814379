//! A patch as a small PNG inside an address that needs no file.

use super::pixels::Patch;
use crate::ramp::colour_at;
use crate::theme::Palette;

/// Shades kept: finer than the noise of any patch.
const SHADES: u8 = 64;

/// "data:image/png;base64,...".
pub(super) fn data_uri(patch: &Patch, palette: Palette) -> String {
    png_uri(&png(patch, palette))
}

/// A finished PNG as a data address: for pages and drawings that must stand alone.
pub fn png_uri(png: &[u8]) -> String {
    let mut uri = String::from("data:image/png;base64,");
    push_base64(&mut uri, png);
    uri
}

fn png(patch: &Patch, palette: Palette) -> Vec<u8> {
    let last = f64::from(SHADES - 1);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0..=63")]
    let shades: Vec<u8> = patch.shares.iter().map(|share| (share.clamp(0.0, 1.0) * last).round() as u8).collect();
    let colours = (0..SHADES).flat_map(|shade| {
        let colour = colour_at(f64::from(shade) / last, palette);
        [colour.red, colour.green, colour.blue]
    });
    let mut bytes = Vec::new();
    encode(&mut bytes, &shades, colours.collect()).map_or_else(|_unwritable| Vec::new(), |()| bytes)
}

/// Writing to memory does not fail; if it did, the picture would be missing and its words would stand.
fn encode(out: &mut Vec<u8>, shades: &[u8], colours: Vec<u8>) -> Result<(), png::EncodingError> {
    let size = |side: usize| u32::try_from(side).unwrap_or(0);
    let mut encoder = png::Encoder::new(out, size(Patch::WIDTH), size(Patch::HEIGHT));
    encoder.set_color(png::ColorType::Indexed);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_palette(colours);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(shades)?;
    writer.finish()
}

/// RFC 4648, section 4.
fn push_base64(out: &mut String, bytes: &[u8]) {
    const LETTERS: [u8; 64] = *b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    for group in bytes.chunks(3) {
        let byte = |index: usize| u32::from(group.get(index).copied().unwrap_or(0));
        let bits = byte(0) << 16 | byte(1) << 8 | byte(2);
        for place in 0..4 {
            let letter = LETTERS[(bits >> (18 - 6 * place) & 63) as usize];
            out.push(if place <= group.len() { char::from(letter) } else { '=' });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base64_is_that_of_the_standard() {
        // the test vectors of RFC 4648, section 10
        for (text, wanted) in [("", ""), ("f", "Zg=="), ("fo", "Zm8="), ("foo", "Zm9v"), ("foobar", "Zm9vYmFy")] {
            let mut out = String::new();
            push_base64(&mut out, text.as_bytes());
            assert_eq!(out, wanted);
        }
    }
}
