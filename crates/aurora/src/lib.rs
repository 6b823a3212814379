//! Where the aurora is and how bright it is along a line of sight.
//!
//! From activity to light: [`precipitation`] gives mean energy flux and energy over magnetic latitude and local time,
//! [`EmissionTable`] turns them into light by height, and [`SkySampler`] integrates that light along real sightlines
//! through field-aligned emission. [`variability`] says how what one sees scatters about that mean.
//!
//! [`newell_coupling`] and [`kp_from_newell`] turn a measured solar wind into the activity, an hour ahead.
//!
//! **What it does not do:** it does not know moon, twilight or cloud (crate `sky`), the eye or a camera (crate `optics`),
//! and beyond the wind that is on its way it never forecasts the activity itself.
//!
//! ```
//! use aurora::{hemispheric_power_gw, precipitation};
//!
//! let midnight = precipitation(65.0, 0.0, 4.0);
//! assert!(midnight.energy_flux_mw_m2 > 3.0 && midnight.energy_flux_mw_m2 < 7.0);
//! assert!((hemispheric_power_gw(5.0) - 69.4).abs() < 0.1);
//! ```

mod borders;
mod coupling;
mod emission;
mod error;
mod local_field;
mod oval;
mod precipitation;
mod sampler;
mod table;
pub mod variability;

pub use borders::{
    BORDER_SIGMA_DEG, STARKOV_KP_LIMIT, StarkovBorders, al_from_kp_nt, diffuse_border_deg, noaa_midnight_border_deg,
    starkov_borders,
};
pub use coupling::{
    BzNeeded, KP_FROM_NEWELL_SIGMA, NEWELL_AVERAGING_H, bz_needed, kp_from_newell, newell_coupling, newell_viscous,
};
pub use emission::{EFFICIENCY_RELATIVE_SIGMA, EmissionTable, efficiency_kr_per_mw_m2, volume_emission_cm3_s};
pub use error::AuroraError;
pub use oval::Oval;
pub use precipitation::{Precipitation, hemispheric_power_gw, kp_from_hemispheric_power_gw, precipitation};
pub use sampler::{SkyMoment, SkySampler};
