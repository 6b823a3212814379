//! What frames and magnetic records say over time.

mod drift;
mod error;
mod keogram;
mod magnetogram;
mod pulsation;
mod robust;
mod sampling;
mod spectrum;
mod view;

pub use drift::{
    Drift, DriftOutcome, DriftWindow, Flow, FlowSettings, FlowVector, drift_along, flow_between,
    sidereal_motion_deg_per_s,
};
pub use error::SequenceError;
pub use keogram::{
    BinPlace, Border, Borders, Brightening, BrighteningKind, Keogram, KeogramColumn, LightUnit, LitRule, SliceBin,
    SliceLine, SliceSampler, SliceSettings, borders, brightenings,
};
pub use magnetogram::{
    Bay, MagneticComponent, MagneticElement, MagneticEvents, MagneticQuality, MagneticRecord, MagneticReference,
    MagneticSearch, MagneticSpike, MagneticStep, Onset, OnsetCriterion, OnsetStanding, StationPlace, magnetic_events,
};
pub use pulsation::{
    CellPulsation, CommonStep, PulsationBlock, PulsationPatch, PulsationSettings, PulsationStanding, PulsationWatch,
    SkyCell, SkyCells,
};
pub use sampling::{Flicker, FlickerVerdict, LampBeat, REPORTED_FLICKERS, Sampling, Visibility, exposure_retains};
pub use spectrum::{
    Band, FourierTransform, LEAST_SAMPLES, LombScargle, Periodogram, SpectralMethod, SpectralPeak, false_alarm,
    fourier_powers, local_chance, peaks, periodogram, running_median,
};
pub use view::{LightGrid, SkyView};
