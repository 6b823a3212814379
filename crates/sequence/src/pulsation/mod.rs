//! Pulsation and flicker, direction by direction.

mod cells;
mod common;
mod found;
mod judge;
mod on_off;
mod patches;
mod watch;

pub use cells::{SkyCell, SkyCells};
pub use common::CommonStep;
pub use found::{CellPulsation, PulsationBlock, PulsationStanding};
pub use patches::PulsationPatch;
pub use watch::{PulsationSettings, PulsationWatch};
