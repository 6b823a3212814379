//! Outside checks of the verbs.

#![expect(clippy::unwrap_used, reason = "a test stops at the first thing that is not as it should be")]

mod account;
mod broken;
mod check;
mod check_real;
mod check_sky;
mod clip;
mod composed;
mod desk_copies;
mod desk_real;
mod desk_sky;
mod drawn_night;
mod elsewhere;
mod expose;
mod field_plan;
mod hindcast;
mod hostile;
mod opened;
mod read_all_sky;
mod real_frames;
mod sample;
mod second_opinion;
mod sheets;
mod skill;
mod sort;
mod sort_frames;
mod sort_night;
mod sort_real;
mod stand;
mod starters;
