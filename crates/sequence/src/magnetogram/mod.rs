//! Bays and onsets of substorms in the magnetogram of one station.

mod bay;
mod cleaning;
mod onset;
mod record;
mod station;

pub use bay::{Bay, MagneticEvents, MagneticReference, MagneticSearch, magnetic_events};
pub use cleaning::{MagneticSpike, MagneticStep};
pub use onset::{Onset, OnsetCriterion, OnsetStanding};
pub(crate) use record::time_after;
pub use record::{MagneticComponent, MagneticElement, MagneticQuality, MagneticRecord};
pub use station::StationPlace;
