//! The settings of a night as pictures: a simulated patch of each, and a sheet of cards.

mod cards;
mod chance;
pub(crate) mod picture;
mod pixels;

use job::{ExposeReport, ExposeSetting};

pub use self::cards::{CardsStyle, expose_cards};
pub use self::picture::png_uri;

use self::pixels::Patch;
use crate::svg::{self, Element};
use crate::theme::Palette;

/// How a patch is to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PatchStyle {
    /// Width on the page, px; 80 to 2000. Each pixel of the camera is drawn as a small square.
    pub width_px: f64,
    /// Colours.
    pub palette: Palette,
}

/// What the camera's own pixels would show with one setting, at 100 %: noise of light and of reading, the aurora
/// smeared by its motion, stars trailed.
///
/// Stars, folds and the draw of the noise are made up and the same for every setting, so that two patches differ by their
/// settings alone. The ramp is that of all pictures, over the picture's own brightness from black to clipping.
pub fn expose_patch(report: &ExposeReport, setting: &ExposeSetting, style: &PatchStyle) -> String {
    let width_px = if style.width_px.is_finite() { style.width_px.clamp(80.0, 2000.0) } else { 320.0 };
    let height_px = width_px * Patch::HEIGHT as f64 / Patch::WIDTH as f64;
    svg::root(width_px, height_px, &format!("Simulated patch at {}", setting.dial), &description(setting))
        .child(image(report, setting, style.palette, (0.0, 0.0, width_px, height_px)))
        .render()
}

/// The patch as an element at a place: left, top, width, height.
fn image(
    report: &ExposeReport,
    setting: &ExposeSetting,
    palette: Palette,
    (left, top, width, height): (f64, f64, f64, f64),
) -> Element {
    let patch = Patch::of(report, setting);
    Element::new("image")
        .at("x", left)
        .at("y", top)
        .at("width", width)
        .at("height", height)
        .with("preserveAspectRatio", "none")
        .with("style", "image-rendering:pixelated")
        .with("href", &picture::data_uri(&patch, palette))
}

/// The facts of the patch in words.
fn description(setting: &ExposeSetting) -> String {
    format!(
        "Simulated, {} by {} pixels of the camera at 100 per cent: aurora {:.0} and sky {:.0} electrons in a green pixel, \
         signal {:.1} times the noise, stars trailed {:.1} pixels, aurora smeared {:.0} pixels. Stars and folds are invented.",
        Patch::WIDTH,
        Patch::HEIGHT,
        setting.aurora_e[1].value,
        setting.sky_e[1].value,
        setting.snr_pixel.value,
        setting.trail_px,
        setting.blur_px.value
    )
}
