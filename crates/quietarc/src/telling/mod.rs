//! What is made of frames to be shown to others: copies only, originals are never written.

pub(crate) mod account;
pub(crate) mod clip;
pub(crate) mod credit;
pub(crate) mod eye;
mod order;
pub(crate) mod picture_file;
mod pipeline;
pub(crate) mod sheet;
pub(crate) mod stack;
pub(crate) mod still;
mod time_left;
