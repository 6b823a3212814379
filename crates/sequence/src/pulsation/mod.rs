//! Pulsation and flicker, direction by direction.

mod cells;
mod found;
mod in_step;
mod judge;
mod on_off;
mod patches;
mod watch;

pub use cells::{SkyCell, SkyCells};
pub use found::{CellPulsation, PulsationBlock, PulsationStanding};
pub use in_step::CommonStep;
pub use patches::PulsationPatch;
pub use watch::{PulsationSettings, PulsationWatch};
