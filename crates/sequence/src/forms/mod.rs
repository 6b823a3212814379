//! Auroral forms: the code they are written in, and what rays in perspective say.

mod code;
mod geometry;
mod rays;
mod tell;

pub use code::{AtlasCode, AtlasColour, AtlasCondition, AtlasForm, AtlasQualifier, AtlasStructure, brightness_class};
pub use geometry::{FormGeometry, LitCell, form_geometry};
pub use rays::{RayMeeting, RayTrace, RayVerdict, meeting_of_rays, rays_against_field};
pub use tell::{FormAnswer, FormFound, FormName, FormQuestion, tell_form};
