//! Writes an invented night into a folder: `cargo run -p quietarc-scene --example night -- folder [frames] [every]`.
//!
//! JPEG files, the truth of each beside it as JSON, and `night.json` with the duds. With `every` only each so-manieth.
#![expect(clippy::disallowed_methods, reason = "an example writes files and is given their folder")]

use std::error::Error;
use std::path::PathBuf;

use scene::{Development, Night, Stage};

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let folder = PathBuf::from(arguments.next().ok_or("give a folder")?);
    let count = arguments.next().map_or(Ok(300), |text| text.parse())?;
    let every = arguments.next().map_or(Ok(1), |text| text.parse::<usize>())?.max(1);
    let night = Night::invented(count).ok_or("the invented night is not whole")?;
    std::fs::create_dir_all(&folder)?;
    let first = night.frames.first().ok_or("a night of no frames")?;
    let stage = Stage::new(first.spec.place, first.spec.forms_epoch)?;
    for frame in night.frames.iter().step_by(every) {
        let rendered = stage.render(&frame.spec, frame.seed)?;
        let path = folder.join(&frame.name);
        std::fs::write(path.with_extension("jpg"), rendered.to_jpeg(&Development::default())?)?;
        std::fs::write(path.with_extension("json"), serde_json::to_string(&rendered.truth)?)?;
    }
    let duds: Vec<_> = night.frames.iter().map(|frame| (&frame.name, frame.dud)).collect();
    std::fs::write(folder.join("night.json"), serde_json::to_string_pretty(&duds)?)?;
    Ok(())
}
