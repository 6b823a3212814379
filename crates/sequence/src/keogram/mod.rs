//! Keograms and ewograms, and what is read off them.

mod array;
mod borders;
mod brightening;
mod line;
mod sampler;

pub(crate) use array::LONGEST_S;
pub use array::{Keogram, KeogramColumn, LightUnit};
pub use borders::{Border, Borders, LitRule, borders};
pub use brightening::{Brightening, BrighteningKind, brightenings};
pub(crate) use line::EARTH_RADIUS_KM;
pub use line::{BinPlace, SliceBin, SliceLine, SliceSettings};
pub use sampler::SliceSampler;
pub(crate) use sampler::sample_cells;
