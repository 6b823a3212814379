//! A folder of frames: found, measured once each by several workers, and written to nowhere but where it was asked.

pub(crate) mod atomic;
mod content;
mod deliver;
mod engine;
mod found;
mod night;
mod progress;
mod ratings;
mod sidecar;
mod table;
#[cfg(feature = "parquet")]
mod table_parquet;

pub(crate) use atomic::write as write_atomic;
pub(crate) use content::{ReadError, hash as content_hash, hash_of_file, read as read_content};
pub(crate) use deliver::{Delivered, Delivery, deliver};
pub(crate) use engine::{Gathered, Step};
pub(crate) use found::{Fault, FoundFile, one_line, pictures as pictures_below};
pub(crate) use night::{NightQuestion, PreparedNight, SortedNight, real_folder};
pub(crate) use progress::{Pace, span as time_left};
pub(crate) use ratings::{Rated, write as write_ratings};
pub(crate) use table::{Table, Values};
#[cfg(feature = "parquet")]
pub(crate) use table_parquet::write as write_parquet;
