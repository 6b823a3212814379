//! The program: command line, web server, and the wiring of everything below it.
//!
//! A command or handler does four things: parse, load, call `job`, present. No rule about the sky lives here.
//!
//! **What it does not do:** it computes nothing itself, and it never writes to a picture (ratings go into sidecars, on request).

pub mod cli;

mod batch;
mod commands;
mod desk;
mod exports;
mod failure;
mod feed_round;
mod feed_standing;
mod frame_file;
mod frame_parts;
mod keeping;
mod out_file;
mod output;
mod present;
mod present_check;
mod present_desk;
mod present_expose;
mod present_kit;
mod present_measure;
mod present_scores;
mod present_site;
mod present_sort;
mod present_tell;
mod raster;
mod reading;
mod scenario;
mod server;
mod sorting;
mod stored_feeds;
mod table_files;
mod telling;
mod watch;

pub use commands::run;
pub use failure::{Failure, Outcome};
