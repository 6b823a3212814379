//! The pictures of Quietarc, drawn once as SVG text: night strip, sky bowl, view through the lens, comparison of sites,
//! skyline of a site, reliability of the outlooks; and the [`documents`] a person takes along.
//!
//! The page, the files and the printed cards show the same drawing. Each one stands alone (no script, no
//! style sheet, no font or picture fetched), has a title and a description in words, and is the same for the same
//! report, byte for byte.
//!
//! **What it does not do:** no physics, no clock, no files, no rasters, no interaction. The page puts its own
//! cursor over a drawing with the `data-` attributes of the root element: `data-from`, `data-to` and
//! `data-plot-left` and the rest on a strip, `data-center-x`, `data-center-y`, `data-radius` on a bowl.
//!
//! ```
//! use draw::{Palette, brightness_colour};
//!
//! // one ramp for brightness everywhere; lightness rises evenly with the logarithm
//! assert_eq!(brightness_colour(0.1, Palette::Day).to_string(), "#0d0c12");
//! assert!(draw::tokens(Palette::DarkEyes).iter().all(|(name, _)| name.starts_with("--qa-")));
//! ```

mod bowl;
mod check;
mod colour;
mod compare;
mod contour;
pub mod documents;
mod expose;
mod eye;
mod horizon;
mod keogram;
mod label;
mod lens_view;
mod local_time;
mod picture;
mod ramp;
mod reliability;
mod still;
mod strip;
mod svg;
mod theme;

pub use bowl::{BowlStyle, sky_bowl};
pub use check::{OverlayStyle, check_overlay};
pub use colour::Rgb;
pub use compare::{CompareStyle, compare_sites};
pub use expose::{CardsStyle, PatchStyle, expose_cards, expose_patch, png_uri};
pub use eye::{eye_beside, picture_uri};
pub use horizon::{HorizonStyle, horizon_profile};
pub use keogram::{KeogramStyle, keogram};
pub use lens_view::{LensStyle, lens_view};
pub use picture::picture_png;
pub use ramp::{HIGHEST_KR, LOWEST_KR, RAMP_STOPS, brightness_colour, stop_kr};
pub use reliability::{ReliabilityStyle, reliability_diagram};
pub use still::{SafeArea, StillLines, StillShape, StillSize, StillStyle, keogram_still, map_still, still};
pub use strip::{StripStyle, night_strip};
pub use theme::{Palette, Theme, tokens};
