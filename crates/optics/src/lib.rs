//! Lens, sensor, noise and the human eye: what a sky of known brightness becomes in a pixel and to a person.
//!
//! **What it does not do:** it does not predict the sky, read a picture or choose settings. No files, no clock.
//!
//! ```
//! use optics::{Camera, Pointing, Projection};
//! use quantity::Horizontal;
//!
//! let north = Pointing { azimuth_deg: 0.0, altitude_deg: 30.0, roll_deg: 0.0 };
//! let camera = Camera::centred(Projection::Rectilinear, 14.0, 5.95, [6048, 4024], north);
//! let pixel = camera.pixel_of(Horizontal::new(30.0, 0.0)).unwrap();
//! assert_eq!(pixel, [3023.5, 2011.5]);
//! ```

mod adaptation;
mod camera;
mod contrast;
mod error;
mod exposure;
mod eye;
mod eye_view;
mod ibc;
mod luminance;
mod mesopic;
mod motion;
mod projection;
mod radial;
mod radial_law;
mod response;
mod sensor;
mod sharpness;
mod shot;
mod spectrum;
mod view;

pub use adaptation::adaptation_log10_elevation;
pub use camera::{Camera, FieldOfView, Pointing};
pub use contrast::{BACKGROUND_FLOOR_CD_M2, ContrastRange, contrast_threshold, faintest_star_mag, sky_luminance_cd_m2};
pub use error::OpticsError;
pub use exposure::{exposure_value, mid_grey_kr, mid_grey_luminance_cd_m2, saturation_kr, saturation_luminance_cd_m2};
pub use eye::{
    EyeBackground, LAMP_SP_RATIO, SOFT_EDGE_FACTOR, TYPICAL_FIELD_FACTOR, ThresholdLuminance, VisibilityRatio,
    colour_luminance_cd_m2, colour_saturation, visible_threshold, visible_threshold_after,
};
pub use eye_view::{
    EyeDisplay, EyeObserver, EyeRegion, EyeScene, EyeStatistics, EyeView, SeenAs, acuity_cycles_per_deg,
    cone_threshold_cd_m2, eye_view, rod_threshold_cd_m2, seen_as, srgb_byte, xyz_of_linear_srgb,
};
pub use ibc::{Ibc, ibc};
pub use luminance::{
    Blackbody, LuminancePerKr, PHOTOPIC_EFFICACY_LM_W, SCOTOPIC_EFFICACY_LM_W, blackbody, line_luminance_per_kr,
    luminance_per_kr, photopic_cd_m2, photopic_sensitivity, radiance_per_kr_w_m2_sr, scotopic_cd_m2,
    scotopic_sensitivity, xyz_cd_m2,
};
pub use mesopic::{Mesopic, PHOTOPIC_FROM_CD_M2, SCOTOPIC_BELOW_CD_M2, mesopic};
pub use motion::{
    SIDEREAL_ARCSEC_S, aurora_deg_s, aurora_px_s, blur_limit_s, full_frame_equivalent_mm, npf_limit_s,
    npf_short_limit_s, pixel_scale_arcsec, rule_of_500_limit_s, slant_range_km, trail_px,
};
pub use projection::Projection;
pub use radial_law::RadialLaw;
pub use response::{Channel, equivalent_width_nm, line_response, line_response_matrix, relative_response};
pub use sensor::{Exposure, InfraredFilter, Lens, ReadNoise, Sensor};
pub use sharpness::{FocusRange, airy_diameter_um, defocus_blur_um, focus_range_m, hyperfocal_m};
pub use shot::Shot;
pub use view::View;
