//! Opens a picture and says what it is: `cargo run --package quietarc-frame --example open -- FILE`.

#![expect(clippy::disallowed_methods, clippy::print_stdout, reason = "an example is a program, the crate is not")]

use frame::{Limits, open, pixel_scale};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = std::env::args().nth(1).ok_or("give the path of a picture")?;
    let frame = open(&std::fs::read(path)?, &Limits::default())?;
    let [width, height] = frame.stored_size;
    println!("{} of {width} by {height} pixels, {} bits, {:?}", frame.kind, frame.bits, frame.layout);
    println!("{:?}", frame.linearity);
    let plane = frame.luminance()?;
    let mean = plane.samples().iter().map(|light| f64::from(*light)).sum::<f64>() / plane.samples().len() as f64;
    println!("mean luminance {mean:.5} of full scale");
    if let Some(camera) = frame.metadata.camera() {
        println!("taken with {camera}, {:?} s, ISO {:?}", frame.metadata.exposure_s, frame.metadata.iso);
    }
    if let Some(scale) = pixel_scale(&frame.metadata, frame.stored_size) {
        println!("{:.1} seconds of arc a pixel", scale.arcsec_per_px.value);
    }
    for note in &frame.notes {
        println!("note: {note}");
    }
    for doubt in &frame.metadata.doubts {
        println!("doubt: {doubt}");
    }
    Ok(())
}
