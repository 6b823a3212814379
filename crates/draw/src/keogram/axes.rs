//! The axes of a keogram: hours below, degrees from the zenith on the left, magnetic latitude on the right.

use job::ReadKeogram;
use quantity::Timestamp;

use super::{FONT_PX, LEFT_PX, PLOT_PX, TOP_PX, y_of};
use crate::colour::Rgb;
use crate::label::{Anchor, degrees_text, text_at};
use crate::svg::{Element, line};

/// Steps between hours that people read easily, s.
const STEPS_S: [i64; 16] = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 2 * 3600, 3 * 3600, 6 * 3600];
/// Marks along the time at most.
const MOST_MARKS: f64 = 8.0;
/// Degrees of magnetic latitude between marks.
const LATITUDE_STEP_DEG: i32 = 2;
/// Least distance between marks of latitude, px: near the horizon a step is some pixels.
const LEAST_APART_PX: f64 = 16.0;
/// Length of a mark, px.
const MARK_PX: f64 = 4.0;

/// Marks and numbers of all three axes.
pub(super) fn axes(keogram: &ReadKeogram, [from, to]: [Timestamp; 2], ink: Rgb) -> Vec<Element> {
    let mut out = angles(keogram, ink);
    out.extend(latitudes(keogram, ink));
    out.extend(times([from, to], ink));
    out
}

fn angles(keogram: &ReadKeogram, ink: Rgb) -> Vec<Element> {
    let mark = |angle_deg: f64| {
        let y = y_of(keogram, angle_deg)?;
        let stroke = line((LEFT_PX - MARK_PX, y), (LEFT_PX, y), &ink.to_string(), 1.0);
        let words = text_at(&degrees_text(angle_deg), LEFT_PX - 7.0, y + 4.0, FONT_PX, Anchor::End, ink);
        Some([stroke, words])
    };
    [-60.0, -30.0, 0.0, 30.0, 60.0].into_iter().filter_map(mark).flatten().collect()
}

/// Whole degrees of magnetic latitude, where the line's bins have them.
fn latitudes(keogram: &ReadKeogram, ink: Rgb) -> Vec<Element> {
    let right = LEFT_PX + PLOT_PX[0];
    let mut out = Vec::new();
    let mut taken: Vec<f64> = Vec::new();
    let mut marks = latitude_marks(keogram);
    // marks near the zenith first: there a degree is widest
    marks.sort_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    for (latitude_deg, angle_deg) in marks {
        let Some(y) = y_of(keogram, angle_deg) else { continue };
        if taken.iter().any(|other| (other - y).abs() < LEAST_APART_PX) {
            continue;
        }
        taken.push(y);
        out.push(line((right, y), (right + MARK_PX, y), &ink.to_string(), 1.0));
        let words = format!("{latitude_deg}\u{b0}");
        out.push(text_at(&words, right + 7.0, y + 4.0, FONT_PX, Anchor::Start, ink));
    }
    out
}

/// Degrees of magnetic latitude and the angle along the line at which it crosses them.
fn latitude_marks(keogram: &ReadKeogram) -> Vec<(i32, f64)> {
    let mut out = Vec::new();
    for pair in keogram.bins.windows(2) {
        let [a, b] = pair else { continue };
        let (Some(low), Some(high)) = (a.magnetic_latitude_deg, b.magnetic_latitude_deg) else { continue };
        let step = f64::from(LATITUDE_STEP_DEG);
        let [first, last] = [low.min(high) / step, low.max(high) / step].map(f64::floor);
        if first >= last || !first.is_finite() || !last.is_finite() {
            continue;
        }
        let crossed = last * step;
        let share = (crossed - low) / (high - low);
        #[expect(clippy::cast_possible_truncation, reason = "a latitude")]
        let degrees = crossed.round() as i32;
        out.push((degrees, a.zenith_angle_deg + share * (b.zenith_angle_deg - a.zenith_angle_deg)));
    }
    out
}

/// Marks at round hours, minutes or seconds of universal time.
fn times([from, to]: [Timestamp; 2], ink: Rgb) -> Vec<Element> {
    let bottom = TOP_PX + PLOT_PX[1];
    let span_s = to.duration_since(from).as_secs_f64();
    let wanted = span_s / MOST_MARKS;
    let step_s = STEPS_S.into_iter().find(|step| *step as f64 >= wanted).unwrap_or(12 * 3600);
    let format = if step_s < 60 { "%H:%M:%S" } else { "%H:%M" };
    let mut out = Vec::new();
    let mut second = (from.as_second().div_euclid(step_s) + 1) * step_s;
    while let Ok(at) = Timestamp::from_second(second) {
        if at > to || span_s <= 0.0 {
            break;
        }
        let x = LEFT_PX + PLOT_PX[0] * at.duration_since(from).as_secs_f64() / span_s;
        out.push(line((x, bottom), (x, bottom + MARK_PX), &ink.to_string(), 1.0));
        out.push(text_at(&at.strftime(format).to_string(), x, bottom + 17.0, FONT_PX, Anchor::Middle, ink));
        second += step_s;
    }
    out
}
