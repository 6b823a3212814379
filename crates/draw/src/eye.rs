//! A frame as the camera and as the eye have it, side by side.

use job::{EyePictures, TellEyeReport};

use crate::expose::picture::png_uri;
use crate::picture::picture_png;
use crate::svg::{self, Element};
use crate::theme::Palette;

/// Room between and under the pictures, as shares of one picture's width.
const GAP: f64 = 0.01;
/// Height of a line of the caption over the width of both pictures.
const LINE: f64 = 0.016;
/// Characters of a line of the caption: what fits in letters of two thirds of a line.
const LINE_CHARACTERS: usize = 150;

/// A picture as a data address, PNG in base64: for pages and drawings that must stand alone.
///
/// Arguments as [`picture_png`].
pub fn picture_uri(size_px: [usize; 2], rgb: &[u8], palette: Palette) -> String {
    png_uri(&picture_png(size_px, rgb, palette))
}

/// Both views with their caption below, the camera's on the left; `None` without an eye view.
pub fn eye_beside(report: &TellEyeReport, pictures: &EyePictures, palette: Palette) -> Option<String> {
    let eye = pictures.eye_rgb.as_ref()?;
    let (width, height) = (pictures.width as f64, pictures.height as f64);
    let gap = (GAP * width).round().max(2.0);
    let all = 2.0 * width + gap;
    let line = (LINE * all).max(9.0);
    let lines = wrapped(&format!("{} {}", report.verdict, report.caption));
    let bottom = height + 2.0 * line + line * lines.len() as f64 + 0.5 * line;
    let theme = palette.theme();
    let size = [pictures.width, pictures.height];
    let picture = |x: f64, rgb: &[u8]| {
        Element::new("image")
            .at("x", x)
            .at("y", 0.0)
            .at("width", width)
            .at("height", height)
            .with("href", &picture_uri(size, rgb, palette))
    };
    let text = |x: f64, y: f64, words: &str| {
        Element::new("text")
            .at("x", x)
            .at("y", y)
            .at("font-size", 0.66 * line)
            .with("font-family", "sans-serif")
            .with("fill", &theme.plot_ink.to_string())
            .text(words)
    };
    let root = svg::root(all, bottom, &format!("Camera and eye: {}", report.file), &report.verdict)
        .child(svg::rect(0.0, 0.0, all, bottom, &theme.plot.to_string()))
        .child(picture(0.0, &pictures.camera_rgb))
        .child(picture(width + gap, eye))
        .child(text(0.3 * line, height + line, "Camera"))
        .child(text(width + gap + 0.3 * line, height + line, "Eye (simulation)"))
        .children(
            lines.iter().enumerate().map(|(row, words)| text(0.3 * line, height + line * (row as f64 + 2.2), words)),
        );
    Some(root.render())
}

/// Words in lines.
fn wrapped(words: &str) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.split_whitespace() {
        match lines.last_mut().filter(|line| line.chars().count() + word.chars().count() < LINE_CHARACTERS) {
            Some(line) => {
                line.push(' ');
                line.push_str(word);
            }
            None => lines.push(word.to_owned()),
        }
    }
    lines
}
