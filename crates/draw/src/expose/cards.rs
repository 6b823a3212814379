//! A sheet of all settings: patch, dial, what limits it, numbers.

use job::{ExposeReport, ExposeSetting, SettingGoal};

use super::image;
use super::pixels::Patch;
use crate::label::{Anchor, fitted, text_at};
use crate::svg::{self, Element, rect};
use crate::theme::{Palette, Theme};

/// How the sheet is to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CardsStyle {
    /// Width, px; 340 at least. The height follows from the number of settings.
    pub width_px: f64,
    /// Colours.
    pub palette: Palette,
}

/// Width of a patch and room around it, px.
const PATCH_PX: f64 = 240.0;
const GAP_PX: f64 = 14.0;
const FONT_PX: f64 = 14.0;
/// Width from which words stand beside the patch.
const BESIDE_FROM_PX: f64 = 640.0;
/// Lines of words of one card.
const LINES: f64 = 6.0;

/// The settings under one another, each with its simulated patch.
pub fn expose_cards(report: &ExposeReport, style: &CardsStyle) -> String {
    let width_px = crate::strip::bounded(style.width_px, 340.0);
    let theme = style.palette.theme();
    let beside = width_px >= BESIDE_FROM_PX;
    let patch_height = PATCH_PX * Patch::HEIGHT as f64 / Patch::WIDTH as f64;
    let words_height = LINES * 1.5 * FONT_PX;
    let row = if beside { patch_height.max(words_height) } else { patch_height + words_height } + GAP_PX;
    let head = 3.4 * FONT_PX;
    let foot = 2.0 * FONT_PX;
    let height_px = head + report.settings.len() as f64 * row + foot;
    let mut root = svg::root(width_px, height_px, "Settings for tonight", &report.summary)
        .child(rect(0.0, 0.0, width_px, height_px, &theme.background.to_string()))
        .child(title(report, width_px, theme));
    for (index, setting) in report.settings.iter().enumerate() {
        let top = head + index as f64 * row;
        root = root.child(image(report, setting, style.palette, (GAP_PX, top, PATCH_PX, patch_height)));
        let (left, first) = if beside { (PATCH_PX + 2.0 * GAP_PX, top) } else { (GAP_PX, top + patch_height) };
        root = root.children(words(setting, (left, first), width_px - left - GAP_PX, theme));
    }
    let note = "Patches are simulated, camera pixels at 100 %; stars and folds are invented. Bright is what the picture shows.";
    let note = fitted(note, 12.0, width_px - 2.0 * GAP_PX);
    root.child(text_at(&note, GAP_PX, height_px - 8.0, 12.0, Anchor::Start, theme.muted)).render()
}

fn title(report: &ExposeReport, width_px: f64, theme: &Theme) -> Element {
    let green = &report.light.green_5577_kr;
    let words = format!(
        "{} kR ({} to {}) of 557.7 nm, sky {:.1} mag/arcsec², {}",
        crate::label::kr_text(green.value),
        crate::label::kr_text(green.low),
        crate::label::kr_text(green.high),
        report.light.sky_mag_arcsec2.value,
        report.request.kit.name
    );
    let words = fitted(&words, FONT_PX, width_px - 2.0 * GAP_PX);
    text_at(&words, GAP_PX, 1.8 * FONT_PX, FONT_PX, Anchor::Start, theme.muted)
}

fn words(setting: &ExposeSetting, (left, top): (f64, f64), width_px: f64, theme: &Theme) -> Vec<Element> {
    let lines = [
        format!("{}: {}", setting.dial, goal(setting.goal)),
        setting.limit_text.clone(),
        format!(
            "green: {:.0} e- of aurora over {:.0} of sky, signal {:.1} times noise a pixel",
            setting.aurora_e[1].value, setting.sky_e[1].value, setting.snr_pixel.value
        ),
        format!(
            "{:.1} stops from mid-grey, {:.1} to spare at the next brightening",
            setting.mid_grey_stops.value, setting.spare_stops.value
        ),
        format!("stars trail {:.1} px, aurora moves {:.0} px", setting.trail_px, setting.blur_px.value),
        setting.time_lapse.as_ref().map(|lapse| lapse.text.clone()).unwrap_or_default(),
    ];
    lines
        .iter()
        .enumerate()
        .map(|(index, line)| {
            let (size, ink) = if index == 0 { (1.15 * FONT_PX, theme.text) } else { (FONT_PX, theme.muted) };
            let base = top + (index as f64 + 0.9) * 1.5 * FONT_PX;
            text_at(&fitted(line, size, width_px), left, base, size, Anchor::Start, ink)
        })
        .collect()
}

fn goal(goal: SettingGoal) -> &'static str {
    match goal {
        SettingGoal::Balanced => "recommended",
        SettingGoal::Sharper => "sharper",
        SettingGoal::Cleaner => "cleaner",
        SettingGoal::Headroom => "more headroom",
        SettingGoal::SharpCorners => "sharper corners",
        SettingGoal::Brighter => "brighter on the screen",
    }
}
