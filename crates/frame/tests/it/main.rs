//! Integration tests: published tables, laws, hostile input.

#![expect(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking, also in its helpers")]
#![expect(clippy::print_stdout, reason = "the spread of the errors is wanted when the tests run with --nocapture")]
mod aurora;
mod aurora_ground;
mod aurora_measures;
mod aurora_pictures;
mod aurora_scenes;
mod decoded;
mod exif_writer;
mod hostile;
mod metadata;
mod opening;
mod pictures;
mod raw;

mod drawn_sky;
mod focus;
mod lens_ground;
mod lens_pictures;
mod lens_sky;
mod motion;
mod night_scene;
mod picture;
mod real_sky;
mod rendered;
mod spread;
mod star_laws;
mod star_tables;
