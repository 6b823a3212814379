//! The program as a whole: one rule, one door; batches; exit codes.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test stops at the first thing that is not as it should be"
)]

mod batches;
mod broken_frames;
mod check;
mod desk;
mod desk_aurora;
mod desk_filled;
mod desk_form;
mod desk_http;
mod desk_scale;
mod doors;
mod exports;
mod expose;
mod feeds_cache;
mod house;
mod kept;
mod kept_http;
mod kit_measure;
mod live_inputs;
mod outings;
mod program;
mod read;
mod read_forms;
mod read_pulsating;
mod read_stopped;
mod rendered_night;
mod running;
#[path = "../../../feeds/tests/it/server.rs"]
mod server;
mod sharing;
mod sort;
mod sort_http;
mod sort_raw;
mod sort_stopped;
mod tell;
mod tell_account;
mod tell_clip;
mod tell_http;
mod tell_stack;
mod tell_still;
