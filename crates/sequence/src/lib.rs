//! What frames and magnetic records say over time.
//!
//! | question | door |
//! |---|---|
//! | Light along the magnetic meridian, or across it, against time? | [`SliceLine`], [`SliceSampler`], [`Keogram`] |
//! | Where did the lit sky end? When did it brighten and move poleward? | [`borders`], [`brightenings`] |
//! | How fast did it move? | [`drift_along`] a line, [`flow_between`] two pictures |
//! | Did it pulsate, where, and with which period? | [`SkyCells`], [`PulsationWatch`] |
//! | Do rays meet at the magnetic zenith? How is a form written? | [`rays_against_field`], [`AtlasCode`] |
//! | Which forms does a picture show, and which did a night, region by region? | [`tell_forms`], [`FormTracks`] |
//! | By what are exposure changes evened out for a moving picture? | [`deflicker_gains`] |
//! | What do frames show together: the mean without outliers, the brightest of each pixel? | [`StackMoments`], [`MeanStack`], [`BrightestStack`] |
//! | What could these frames have shown at all? | [`Sampling`] |
//! | What period does a series hold, and how surely? | [`periodogram`], [`LombScargle`], [`false_alarm`], [`local_chance`] |
//! | Which bays and substorm onsets are in a magnetogram? | [`magnetic_events`] |
//!
//! Frames come one after another and are not kept: what is held does not grow with their number.
//!
//! **What it does not do:** it opens no picture and no record, solves no lens and calibrates nothing: light comes in one linear unit,
//! kilorayleighs where somebody has calibrated it. One line of sky or one station makes no substorm, only a candidate.
//!
//! ```
//! use sequence::{LightGrid, Keogram, LightUnit, SliceLine, SliceSampler, SliceSettings, SkyView};
//! # use quantity::{GeoPosition, Horizontal};
//! # struct Fisheye;
//! # impl SkyView for Fisheye {
//! #     fn pixel_of(&self, d: Horizontal) -> Option<[f64; 2]> {
//! #         let (r, (s, c)) = ((90.0 - d.altitude_deg) * 0.5, d.azimuth_deg.to_radians().sin_cos());
//! #         Some([49.5 - r * s, 49.5 - r * c])
//! #     }
//! #     fn direction_of(&self, _: [f64; 2]) -> Option<Horizontal> { None }
//! # }
//! # let (lens, values) = (Fisheye, vec![2.0_f32; 100 * 100]);
//! let (bay, start) = (GeoPosition::new(69.2, 15.1, 4.0)?, "2026-11-14T20:00:00Z".parse()?);
//! let line = SliceLine::magnetic_meridian(bay, start, SliceSettings::default())?;
//! let picture = LightGrid::new(100, 100, 1.0, &values).ok_or("a grid of another size")?;
//! let sampler = SliceSampler::new(&line, &lens, &picture)?;
//! let mut keogram = Keogram::new(line, LightUnit::Kilorayleighs, 6.0, 2000)?;
//! keogram.push(start, &sampler.sample(&picture)?)?;
//! assert_eq!(keogram.value(0, 80), 2.0);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod deflicker;
mod drift;
mod error;
mod fixed;
mod forms;
mod keogram;
mod magnetogram;
mod pulsation;
mod robust;
mod sampling;
mod spectrum;
mod stack;
mod view;

pub use deflicker::{
    DEFLICKER_REACH, Deflicker, DeflickerBasis, FrameLevel, SAME_SETTINGS, background_level, deflicker_gains,
};
pub use drift::{
    Drift, DriftOutcome, DriftWindow, Flow, FlowSettings, FlowVector, drift_along, flow_between,
    sidereal_motion_deg_per_s,
};
pub use error::SequenceError;
pub use fixed::FixedView;
pub use forms::{
    AtlasCode, AtlasColour, AtlasCondition, AtlasForm, AtlasQualifier, AtlasStructure, FormAnswer, FormFound,
    FormGeometry, FormName, FormPlace, FormQuestion, FormStretch, FormTracks, LightRidge, LitCell, MagneticStand,
    RayMeeting, RayTrace, RayVerdict, RegionForm, RidgeProfile, brightness_class, form_geometry, light_ridge,
    meeting_of_rays, rays_against_field, tell_form, tell_forms,
};
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
pub use stack::{BrightestStack, MeanStack, StackLimits, StackMoments};
pub use view::{LightGrid, SkyView};
