//! What is made of frames to be shown to others: copies only, originals are never written.

pub(crate) mod account;
pub(crate) mod clip;
#[allow(dead_code, reason = "the exports that carry credit are joined to it one by one")]
pub(crate) mod credit;
