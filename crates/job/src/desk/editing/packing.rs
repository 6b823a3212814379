//! How strongly a JPEG was packed, by its tables.

/// Quantisation of luminance at quality 50, in the order of the zigzag: ITU-T T.81, table K.1.
pub(super) const LUMINANCE: [u16; 64] = [
    16, 11, 12, 14, 12, 10, 16, 14, 13, 14, 18, 17, 16, 19, 24, 40, 26, 24, 22, 22, 24, 49, 35, 37, 29, 40, 58, 51, 61,
    60, 57, 51, 56, 55, 64, 72, 92, 78, 64, 68, 87, 69, 55, 56, 80, 109, 81, 87, 95, 98, 103, 104, 103, 62, 77, 113,
    121, 112, 100, 120, 92, 101, 103, 99,
];
/// Steps by which a table may differ from the standard's: rounding.
const ROUNDING: f64 = 1.0;

/// Quality of a JPEG.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Quality {
    /// 1..100 as the Independent JPEG Group's library counts.
    pub(super) quality: f64,
    /// Whether the table is the standard's, scaled.
    pub(super) is_standard: bool,
}

/// By the first table of luminance; `None` for other files and damaged ones.
pub(super) fn quality(bytes: &[u8]) -> Option<Quality> {
    let table = table_of_luminance(bytes)?;
    let sum = |values: &[u16]| values.iter().map(|value| f64::from(*value)).sum::<f64>();
    let percent = 100.0 * sum(&table) / sum(&LUMINANCE);
    let quality = if percent <= 100.0 { 0.5 * (200.0 - percent) } else { 5000.0 / percent };
    let is_standard = LUMINANCE.iter().zip(&table).all(|(standard, value)| {
        let scaled = (f64::from(*standard) * percent / 100.0).clamp(1.0, 255.0);
        (scaled - f64::from(*value)).abs() <= ROUNDING + 0.02 * scaled
    });
    Some(Quality { quality: quality.clamp(1.0, 100.0), is_standard })
}

/// Table 0 of the first DQT segment (ITU-T T.81, B.2.4.1).
pub(super) fn table_of_luminance(bytes: &[u8]) -> Option<[u16; 64]> {
    let mut rest = bytes.strip_prefix(&[0xFF, 0xD8])?;
    loop {
        let [0xFF, marker, ..] = *rest else { return None };
        match marker {
            // filling before a marker
            0xFF => {
                rest = rest.get(1..)?;
                continue;
            }
            0x01 | 0xD0..=0xD8 => {
                rest = rest.get(2..)?;
                continue;
            }
            // the picture begins, or ends, without a table
            0xD9 | 0xDA => return None,
            _ => rest = rest.get(2..)?,
        }
        let (length, _) = rest.split_first_chunk::<2>()?;
        let length = usize::from(u16::from_be_bytes(*length));
        let segment = rest.get(2..length)?;
        if marker == 0xDB
            && let Some(table) = table_zero(segment)
        {
            return Some(table);
        }
        rest = rest.get(length..)?;
    }
}

fn table_zero(mut segment: &[u8]) -> Option<[u16; 64]> {
    while let Some((kind, rest)) = segment.split_first() {
        let size = if kind >> 4 == 0 { 64 } else { 128 };
        let values = rest.get(..size)?;
        if kind % 16 == 0 {
            let mut table = [0u16; 64];
            for (index, value) in table.iter_mut().enumerate() {
                *value = if size == 64 {
                    u16::from(*values.get(index)?)
                } else {
                    u16::from_be_bytes([*values.get(2 * index)?, *values.get(2 * index + 1)?])
                };
            }
            return Some(table);
        }
        segment = rest.get(size..)?;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The estimate by sums is this near the quality asked for: small tables are rounded to whole steps.
    const QUALITY: f64 = 1.5;

    #[test]
    fn the_quality_that_an_encoder_was_asked_for_is_found() {
        let pixels = vec![120u8; 32 * 32 * 3];
        for asked in [30u8, 50, 75, 90, 95] {
            let mut file = Vec::new();
            let encoder = jpeg_encoder::Encoder::new(&mut file, asked);
            encoder.encode(&pixels, 32, 32, jpeg_encoder::ColorType::Rgb).unwrap();
            let found = quality(&file).unwrap();
            assert!((found.quality - f64::from(asked)).abs() <= QUALITY, "{asked}: {found:?}");
            assert!(found.is_standard, "{asked}");
            for length in 0..file.len().min(700) {
                // never more than `None` for a file that breaks off
                let _cut = quality(&file[..length]);
            }
        }
        assert_eq!(quality(b"\x89PNG"), None);
    }
}
