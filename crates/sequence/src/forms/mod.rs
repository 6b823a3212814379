//! Auroral forms: the code they are written in, and what rays in perspective say.

mod code;
mod rays;

pub use code::{AtlasCode, AtlasColour, AtlasCondition, AtlasForm, AtlasQualifier, AtlasStructure, brightness_class};
pub use rays::{RayMeeting, RayTrace, RayVerdict, meeting_of_rays, rays_against_field};
