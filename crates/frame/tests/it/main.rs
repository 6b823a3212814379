//! Integration tests: published tables, laws, hostile input.

#![expect(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking, also in its helpers")]
#![expect(clippy::print_stdout, reason = "the spread of the errors is wanted when the tests run with --nocapture")]
mod aurora;
mod aurora_ground;
mod aurora_measures;
mod aurora_pictures;
mod aurora_scenes;
mod calibration_drawn;
mod calibration_pictures;
mod calibration_settings;
mod cloud;
mod decoded;
mod exif_writer;
mod fits_cube;
mod fits_writer;
mod hostile;
mod metadata;
mod opening;
mod photon_transfer;
mod pictures;
mod raw;

mod drawn_sky;
mod focus;
mod lens_calibrated;
mod lens_ground;
mod lens_hard;
mod lens_known;
mod lens_pictures;
mod lens_sky;
mod lens_zenith;
mod motion;
mod night_scene;
mod picture;
mod real_sky;
mod rendered;
mod sky_mask;
mod sky_pictures;
mod spread;
mod star_laws;
mod star_tables;
