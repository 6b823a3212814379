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
