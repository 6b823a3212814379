//! Pictures of the tests as planes.

use frame::Plane;

/// A 16-bit grey PNG as it is: values 0 to 65535.
pub(crate) fn grey16_png(bytes: &[u8]) -> Plane {
    let mut reader = png::Decoder::new(std::io::Cursor::new(bytes)).read_info().unwrap();
    let mut buffer = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut buffer).unwrap();
    assert_eq!((info.color_type, info.bit_depth), (png::ColorType::Grayscale, png::BitDepth::Sixteen));
    let samples = buffer.chunks_exact(2).map(|b| f32::from(u16::from_be_bytes([b[0], b[1]]))).collect();
    Plane::new(info.width as usize, info.height as usize, samples).unwrap()
}

/// A real picture, where somebody keeps them at hand; they are of too mixed a licence to lie here. `QUIETARC_FRAMES`
/// names the folder. Says so where it is left out.
#[expect(clippy::print_stderr, reason = "a test that was left out must say so")]
#[expect(clippy::disallowed_methods, reason = "the crate takes bytes; its tests may read them from a file")]
pub(crate) fn real(name: &str) -> Option<Plane> {
    let beside = || std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/frames");
    let folder = std::env::var_os("QUIETARC_FRAMES").map_or_else(beside, std::path::PathBuf::from);
    let Ok(bytes) = std::fs::read(folder.join(name)) else {
        eprintln!("left out: there is no {name} in {}; set QUIETARC_FRAMES", folder.display());
        return None;
    };
    Some(match name.rsplit('.').next() {
        Some("jpg") => green_jpeg(&bytes),
        Some("fits") => grey16_fits(&bytes),
        Some("tiff") => grey16_tiff(&bytes),
        other => panic!("no reader for {other:?}"),
    })
}

/// The green channel (or grey) of a JPEG, made linear by the inverse of the sRGB curve (IEC 61966-2-1).
fn green_jpeg(bytes: &[u8]) -> Plane {
    let mut decoder = zune_jpeg::JpegDecoder::new(zune_jpeg::zune_core::bytestream::ZCursor::new(bytes));
    let samples = decoder.decode().unwrap();
    let (width, height) = decoder.dimensions().unwrap();
    let channels = samples.len() / (width * height);
    let linear = |value: u8| {
        let v = f32::from(value) / 255.0;
        if v <= 0.040_45 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
    };
    let green = samples.chunks_exact(channels).map(|pixel| linear(pixel[channels / 2])).collect();
    Plane::new(width, height, green).unwrap()
}

/// A primary image of 16-bit integers (FITS standard 4.0), rows as stored.
fn grey16_fits(bytes: &[u8]) -> Plane {
    let card = |key: &str| {
        let found = bytes.chunks_exact(80).find(|c| c.starts_with(format!("{key:<8}=").as_bytes()));
        found.map(|c| String::from_utf8_lossy(&c[10..]).split('/').next().unwrap().trim().parse::<f32>().unwrap())
    };
    assert_eq!(card("BITPIX"), Some(16.0));
    let end = bytes.chunks_exact(80).position(|c| c.starts_with(b"END     ")).unwrap();
    let start = ((end + 1) * 80).div_ceil(2880) * 2880;
    let (scale, zero) = (card("BSCALE").unwrap_or(1.0), card("BZERO").unwrap_or(0.0));
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "sides of a picture")]
    let side = |key| card(key).unwrap() as usize;
    let (width, height) = (side("NAXIS1"), side("NAXIS2"));
    let stored = bytes[start..].chunks_exact(2).take(width * height);
    let samples = stored.map(|b| zero + scale * f32::from(i16::from_be_bytes([b[0], b[1]])));
    Plane::new(width, height, samples.collect()).unwrap()
}

/// One uncompressed strip of 16-bit grey, little-endian (TIFF 6.0).
fn grey16_tiff(bytes: &[u8]) -> Plane {
    let u16_at = |i: usize| u16::from_le_bytes([bytes[i], bytes[i + 1]]);
    let u32_at = |i: usize| u32::from_le_bytes([bytes[i], bytes[i + 1], bytes[i + 2], bytes[i + 3]]) as usize;
    assert_eq!(&bytes[..4], b"II*\0");
    let directory = u32_at(4);
    let tag = |number: u16| {
        let entries = (0..usize::from(u16_at(directory))).map(|i| directory + 2 + 12 * i);
        entries.into_iter().find(|e| u16_at(*e) == number).map(|e| u32_at(e + 8)).unwrap()
    };
    let (width, height, start) = (tag(256), tag(257), tag(273));
    let samples =
        bytes[start..].chunks_exact(2).take(width * height).map(|b| f32::from(u16::from_le_bytes([b[0], b[1]])));
    Plane::new(width, height, samples.collect()).unwrap()
}
