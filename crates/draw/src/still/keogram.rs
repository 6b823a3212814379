//! A keogram as a still: time to the right, the line from one horizon through the zenith to the other upward.

use jiff::tz::TimeZone;
use job::{ReadKeogram, TellKeogram};
use quantity::Timestamp;

use super::StillStyle;
use super::sheet::{LINE, Sheet};
use super::width;
use crate::eye::picture_uri;
use crate::horizon::compass_point;
use crate::keogram::{light_ends, span};
use crate::label::{Anchor, kr_text, text_at};
use crate::ramp::{colour_at, place_on_ramp};
use crate::svg::{self, Element};
use crate::theme::Palette;

/// Where there is no frame: a grey that the ramp does not have.
const NO_FRAME: [u8; 3] = [74, 74, 74];
/// Steps between ticks of time, minutes.
const TICKS_MIN: [i64; 9] = [1, 2, 5, 10, 15, 30, 60, 120, 360];
/// Letters that a label of the time takes with its room.
const TIME_LETTERS: f64 = 5.5;
/// Angles from the zenith that are named, degrees.
const NAMED_DEG: [f64; 5] = [-60.0, -30.0, 0.0, 30.0, 60.0];
/// Pieces of the bar of colours.
const BAR_PIECES: u32 = 24;

/// The still as SVG of the size asked for.
pub fn keogram_still(told: &TellKeogram, style: &StillStyle) -> String {
    let sheet = Sheet::of(*style, &told.caption);
    let keogram = &told.keogram;
    let root = sheet.root(&told.title, &told.caption.join(", "), &sheet.theme.plot.to_string());
    let (root, below_title) = sheet.titled(root, &told.title);
    let ends = light_ends(keogram);
    let (root, below_scale) = scaled(&sheet, root, told, ends, below_title);
    let font_px = sheet.label_px;
    let names = NAMED_DEG.map(|angle_deg| name(keogram.azimuth_deg, angle_deg));
    let widest = names.iter().map(|name| width::most_px(name, font_px)).fold(0.0, f64::max);
    let left = sheet.safe.left + widest + 0.6 * font_px;
    let bottom = sheet.caption_top() - 2.2 * font_px;
    let plot = Plot { left, top: below_scale + 0.8 * font_px, right: sheet.safe.right(), bottom };
    let root = root.child(plot.image(keogram, ends));
    let root = root.children(plot.angles(keogram, &sheet, &names));
    let root = root.children(plot.times(told, &sheet));
    sheet.finished(root)
}

/// "30° N", "zenith": altitude and side.
fn name(azimuth_deg: f64, angle_deg: f64) -> String {
    if angle_deg == 0.0 {
        return "zenith".to_owned();
    }
    let toward = if angle_deg > 0.0 { azimuth_deg } else { azimuth_deg + 180.0 };
    format!("{:.0}° {}", 90.0 - angle_deg.abs(), compass_point(toward))
}

/// The bar of colours with what its ends stand for, below the title.
fn scaled(sheet: &Sheet, root: Element, told: &TellKeogram, ends: Option<[f64; 2]>, top: f64) -> (Element, f64) {
    let (font_px, safe) = (sheet.label_px, sheet.safe);
    let Some([low, high]) = ends.map(|ends| ends.map(f64::exp)) else { return (root, top) };
    let gaps = if has_gaps(&told.keogram) { "; grey: no frame" } else { "" };
    let words = if told.keogram.is_kilorayleighs {
        format!("dark to light: {} to {} {}{gaps}", kr_text(low), kr_text(high), told.scale)
    } else {
        format!("dark to light: {:.0} times as bright; {}{gaps}", (high / low).max(1.0), told.scale)
    };
    let (bar_px, height) = (6.0 * font_px, 0.8 * font_px);
    let base = top + LINE * font_px;
    let piece_px = bar_px / f64::from(BAR_PIECES);
    let bar = (0..BAR_PIECES).map(|piece| {
        let share = f64::from(piece) / f64::from(BAR_PIECES - 1);
        let colour = colour_at(place(share, told.keogram.is_kilorayleighs, [low, high]), Palette::Day);
        let left = safe.left + piece_px * f64::from(piece);
        svg::rect(left, base - height, piece_px + 0.5, height, &colour.to_string())
    });
    let left = safe.left + bar_px + 0.6 * font_px;
    let pieces: Vec<String> = words.split(' ').map(str::to_owned).collect();
    let lines = width::joined(&pieces, " ", font_px, safe.right() - left);
    let texts = lines.iter().enumerate().map(|(row, line)| {
        text_at(line, left, base + LINE * font_px * row as f64, font_px, Anchor::Start, sheet.theme.plot_muted)
    });
    let rows = lines.len().saturating_sub(1) as f64;
    (root.children(bar).children(texts), base + LINE * font_px * rows)
}

/// Where on the one ramp a share between the ends lies: kilorayleighs have their own colours everywhere.
fn place(share: f64, is_kilorayleighs: bool, [low, high]: [f64; 2]) -> f64 {
    if is_kilorayleighs { place_on_ramp(low * (high / low).powf(share)) } else { share }
}

fn has_gaps(keogram: &ReadKeogram) -> bool {
    keogram.columns.iter().any(|column| column.values.iter().all(Option::is_none))
}

/// Where light is drawn, px.
struct Plot {
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
}

impl Plot {
    fn x(&self, share: f64) -> f64 {
        self.left + share * (self.right - self.left)
    }

    /// An angle from the zenith; `None` where the line does not reach.
    fn y(&self, keogram: &ReadKeogram, angle_deg: f64) -> Option<f64> {
        let (low, high) = (keogram.bins.first()?.zenith_angle_deg, keogram.bins.last()?.zenith_angle_deg);
        let share = (angle_deg - low) / (high - low);
        (0.0..=1.0).contains(&share).then_some(self.bottom - share * (self.bottom - self.top))
    }

    /// The light, a pixel a column and a bin.
    fn image(&self, keogram: &ReadKeogram, ends: Option<[f64; 2]>) -> Element {
        let size = [keogram.columns.len().max(1), keogram.bins.len().max(1)];
        let mut rgb = Vec::with_capacity(3 * size[0] * size[1]);
        for bin in (0..size[1]).rev() {
            for column in 0..size[0] {
                let value = keogram.columns.get(column).and_then(|column| column.values.get(bin).copied().flatten());
                rgb.extend(value.zip(ends).map_or(NO_FRAME, |(value, [low, high])| {
                    let share = (f64::from(value).max(f64::MIN_POSITIVE).ln() - low) / (high - low);
                    let ends = [low.exp(), high.exp()];
                    let colour = colour_at(place(share.clamp(0.0, 1.0), keogram.is_kilorayleighs, ends), Palette::Day);
                    [colour.red, colour.green, colour.blue]
                }));
            }
        }
        Element::new("image")
            .at("x", self.left)
            .at("y", self.top)
            .at("width", self.right - self.left)
            .at("height", self.bottom - self.top)
            .with("preserveAspectRatio", "none")
            .with("image-rendering", "optimizeSpeed")
            .with("href", &picture_uri(size, &rgb, Palette::Day))
    }

    fn angles(&self, keogram: &ReadKeogram, sheet: &Sheet, names: &[String]) -> Vec<Element> {
        let mut out = Vec::new();
        for (angle_deg, name) in NAMED_DEG.into_iter().zip(names) {
            let Some(y) = self.y(keogram, angle_deg) else { continue };
            let font_px = sheet.label_px;
            out.push(svg::line(
                (self.left - 0.3 * font_px, y),
                (self.left, y),
                &sheet.theme.plot_muted.to_string(),
                sheet.thin_px,
            ));
            out.push(text_at(
                name,
                self.left - 0.5 * font_px,
                y + 0.35 * font_px,
                font_px,
                Anchor::End,
                sheet.theme.plot_ink,
            ));
        }
        out
    }

    fn times(&self, told: &TellKeogram, sheet: &Sheet) -> Vec<Element> {
        let Some([from, to]) = span(&told.keogram) else { return Vec::new() };
        let zone = TimeZone::get(&told.time_zone).unwrap_or(TimeZone::UTC);
        let font_px = sheet.label_px;
        let span_s = to.duration_since(from).as_secs_f64();
        let room = (self.right - self.left) / (TIME_LETTERS * font_px);
        let step_min = TICKS_MIN
            .into_iter()
            .find(|minutes| span_s / (60.0 * as_f64(*minutes)) <= room)
            .unwrap_or(TICKS_MIN[TICKS_MIN.len() - 1]);
        ticks(from, to, step_min, &zone)
            .into_iter()
            .flat_map(|(at, words)| {
                let x = self.x(at.duration_since(from).as_secs_f64() / span_s);
                // a label at the very end would leave the title-safe area
                let half = 0.5 * width::most_px(&words, font_px);
                let middle = x.min(sheet.safe.right() - half);
                let tick = svg::line(
                    (x, self.bottom),
                    (x, self.bottom + 0.3 * font_px),
                    &sheet.theme.plot_muted.to_string(),
                    sheet.thin_px,
                );
                let base = self.bottom + 1.4 * font_px;
                [tick, text_at(&words, middle, base, font_px, Anchor::Middle, sheet.theme.plot_ink)]
            })
            .collect()
    }
}

#[expect(clippy::cast_precision_loss, reason = "minutes of a night")]
fn as_f64(minutes: i64) -> f64 {
    minutes as f64
}

/// Whole steps of the clock within a span, with their words.
fn ticks(from: Timestamp, to: Timestamp, step_min: i64, zone: &TimeZone) -> Vec<(Timestamp, String)> {
    let step_s = 60 * step_min;
    let offset_s = i64::from(zone.to_offset(from).seconds());
    let first = (from.as_second() + offset_s).div_euclid(step_s) * step_s - offset_s;
    (0..)
        .map_while(|step: i64| Timestamp::from_second(first.checked_add(step.checked_mul(step_s)?)?).ok())
        .take_while(|at| *at <= to)
        .filter(|at| *at >= from)
        .map(|at| (at, at.to_zoned_datetime(zone.clone()).strftime("%H:%M").to_string()))
        .collect()
}
