//! Draws one night and writes it: `cargo run -p quietarc-scene --example draw -- night.jpg [scene] [full]`.
//!
//! With `full` as the picture of 24 megapixels instead of 1.5.
//!
//! The kind of file follows the name's ending: `.jpg`, `.png` (16 bits), `.dng`. The truth is written beside it as JSON.
#![expect(clippy::disallowed_methods, reason = "an example writes a file and is given its name")]
#![expect(clippy::print_stderr, reason = "an example says what it did")]

use std::error::Error;
use std::path::PathBuf;

use scene::{Development, Kit, Stage, sample};

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let path = PathBuf::from(arguments.next().unwrap_or_else(|| "night.jpg".to_owned()));
    let name = arguments.next().unwrap_or_else(|| "folded_bands".to_owned());
    let mut spec = sample(&name).ok_or_else(|| format!("no scene {name}; there are {}", scene::SAMPLES.join(", ")))?;
    if arguments.next().as_deref() == Some("full") {
        spec.kit = Kit::full_frame();
    }
    let started = std::time::Instant::now();
    let stage = Stage::new(spec.place, spec.forms_epoch)?;
    let rendered = stage.render(&spec, 1)?;
    let drawn_s = started.elapsed().as_secs_f64();
    let development = Development::default();
    let bytes = match path.extension().and_then(|ending| ending.to_str()) {
        Some("dng") => rendered.to_dng(),
        Some("png") => rendered.to_png16(&development)?,
        _ => rendered.to_jpeg(&development)?,
    };
    eprintln!("rendered after {drawn_s:.2} s, packed after {:.2} s", started.elapsed().as_secs_f64());
    std::fs::write(&path, bytes)?;
    std::fs::write(path.with_extension("json"), serde_json::to_string(&rendered.truth)?)?;
    Ok(())
}
