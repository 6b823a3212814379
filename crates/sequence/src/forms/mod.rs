//! Auroral forms: the code they are written in, and what rays in perspective say.

mod beyond;
mod code;
mod geometry;
mod place;
mod rays;
mod regions;
mod ridge;
mod stretch;
mod tell;
mod tracks;

pub use code::{AtlasCode, AtlasColour, AtlasCondition, AtlasForm, AtlasQualifier, AtlasStructure, brightness_class};
pub use geometry::{FormGeometry, LitCell, form_geometry};
pub use place::{FormPlace, MagneticStand};
pub use rays::{RayMeeting, RayTrace, RayVerdict, meeting_of_rays, rays_against_field};
pub use regions::{RegionForm, tell_forms};
pub use ridge::{LightRidge, RidgeProfile, light_ridge};
pub use stretch::FormStretch;
pub use tell::{FormAnswer, FormFound, FormName, FormQuestion, tell_form};
pub use tracks::FormTracks;
