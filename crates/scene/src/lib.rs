//! Renders a night of known truth through a known kit: stars, aurora, moon, twilight, towns, cloud, land, water, noise.
//!
//! For demonstrations, and for tests where no real picture can show the truth. Light is in rayleighs from the forms to
//! the pixels, and everything that is put in stands in the [`Truth`] beside the picture.
//!
//! **What it does not do:** it forecasts nothing and reads no picture. No files, no clock: bytes go out.
//!
//! ```
//! use scene::{Development, render, sample};
//!
//! let mut spec = sample("quiet_arc").ok_or("no such scene")?;
//! (spec.kit.sensor.width_px, spec.kit.sensor.height_px) = (240, 160);
//! let rendered = render(&spec, 1)?;
//! let jpeg = rendered.to_jpeg(&Development::default())?;
//! assert!(jpeg.starts_with(b"\xff\xd8") && rendered.truth.brightest_5577_kr > 1.0);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod canvas;
mod cells;
mod cloud;
mod curtain;
mod develop;
mod emission;
mod error;
mod exif;
mod faults;
mod field_lines;
mod field_stars;
mod forms;
mod glow;
mod grid;
mod land;
mod moon;
mod mosaic;
mod night;
mod picture;
mod random;
mod readout;
mod render;
mod rendered;
mod ripples;
mod samples;
mod sheet;
mod site;
mod sky_light;
mod spec;
mod spread;
mod star_light;
mod stars;
mod texture;
mod tiff_writer;
mod truth;
mod vector;

pub use cloud::CloudSpec;
pub use develop::Development;
pub use error::SceneError;
pub use faults::{Faults, Knock, LampSweep};
pub use forms::{Curtain, Form, Glow, Pulsation};
pub use land::{Hut, Lamp, Land, Water};
pub use mosaic::Mosaic;
pub use night::{Dud, Night, Planned};
pub use readout::Numbers;
pub use render::{Stage, render};
pub use rendered::Rendered;
pub use samples::{SAMPLES, sample};
pub use spec::{Kit, SceneSpec};
pub use stars::TrueStar;
pub use truth::{Truth, TruthMap};
