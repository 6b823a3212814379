//! The time of a frame, in words and in a corner of it.

use frame::TakenAt;

use crate::failure::Failure;
use crate::raster::{self, Pixels};

/// Height of the letters as a share of the picture's shorter side: read from across a room.
const LETTERS: f64 = 0.035;
/// Distance from the edges as a share of the side it is taken along: the graphics-safe area of EBU R 95 (5 % of the width from
/// left and right, 5 % of the height from top and bottom).
const SAFE: f64 = 0.05;

/// Width of the letters' outline over their height.
const OUTLINE: f64 = 0.16;

/// "2026-03-14 22:41:05 UTC+01:00"; a clock that does not say its zone is named as such.
pub(crate) fn words(taken: &TakenAt, utc_offset_s: Option<i32>) -> String {
    format!("{} {}", taken.local.strftime("%Y-%m-%d %H:%M:%S"), zone(taken.utc_offset_s.or(utc_offset_s)))
}

fn zone(offset_s: Option<i32>) -> String {
    match offset_s {
        None => "by the camera's clock".to_owned(),
        Some(0) => "UTC".to_owned(),
        Some(seconds) => {
            let sign = if seconds < 0 { '-' } else { '+' };
            let minutes = seconds.unsigned_abs() / 60;
            format!("UTC{sign}{:02}:{:02}", minutes / 60, minutes % 60)
        }
    }
}

/// Writes the time into the lower left corner of a picture of red, green and blue bytes.
///
/// # Errors
///
/// Never for a picture that can be shown.
pub(crate) fn write(
    taken: &TakenAt,
    utc_offset_s: Option<i32>,
    rgb: &mut [u8],
    [width, height]: [usize; 2],
) -> Result<(), Failure> {
    let short = width.min(height) as f64;
    let size = (LETTERS * short).max(10.0);
    let text = format!("{} {}", taken.local.strftime("%H:%M:%S"), zone(taken.utc_offset_s.or(utc_offset_s)));
    // whole pixels, none of them nearer to an edge
    let [left, bottom] = [width, height].map(|side| (SAFE * side as f64).ceil());
    let line = 1.6 * size;
    let svg = format!(
        "<svg xmlns='http://www.w3.org/2000/svg' width='{width}' height='{line:.0}'>\
         <text x='{:.0}' y='{:.0}' font-size='{size:.1}' fill='#fff' stroke='#000' stroke-width='{:.1}' \
         stroke-linejoin='round' paint-order='stroke'>{text}</text></svg>",
        // the outline is half as wide on either side
        left + (0.5 * OUTLINE * size).ceil(),
        1.2 * size,
        OUTLINE * size
    );
    let drawn = raster::pixels(&svg)?;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "within the picture")]
    let top = (height as f64 - bottom - line).max(0.0) as usize;
    lay(&drawn, rgb.get_mut(3 * width * top..).unwrap_or_default());
    Ok(())
}

/// Lays a drawing of the picture's own width over rows of it.
fn lay(drawn: &Pixels, rgb: &mut [u8]) {
    debug_assert!(drawn.width > 0, "a drawing has a width");
    for (over, under) in drawn.rgba.as_chunks::<4>().0.iter().zip(rgb.as_chunks_mut::<3>().0) {
        let [red, green, blue, cover] = *over;
        if cover == 0 {
            continue;
        }
        for (value, colour) in under.iter_mut().zip([red, green, blue]) {
            let rest = (u16::from(*value) * u16::from(u8::MAX - cover) + 127) / 255;
            *value = colour.saturating_add(u8::try_from(rest).unwrap_or(u8::MAX));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// EBU R 95: graphics within 90 % of width and height.
    #[test]
    fn the_clock_stands_within_the_safe_area_whatever_the_shape() {
        let taken = TakenAt { local: jiff::civil::datetime(2026, 3, 14, 22, 48, 8, 0), utc_offset_s: Some(3600) };
        for [width, height] in [[1920, 1080], [1080, 1920], [3840, 2160], [640, 480]] {
            let mut rgb = vec![90; 3 * width * height];
            write(&taken, None, &mut rgb, [width, height]).unwrap();
            let changed = rgb.as_chunks::<3>().0.iter().enumerate().filter(|(_, pixel)| **pixel != [90; 3]);
            let places: Vec<[usize; 2]> = changed.map(|(place, _)| [place % width, place / width]).collect();
            assert!(places.len() > width, "{width} x {height}: {} pixels of letters", places.len());
            for [x, y] in places {
                let is_safe =
                    (width / 20..width - width / 20).contains(&x) && (height / 20..height - height / 20).contains(&y);
                assert!(is_safe, "{width} x {height}: ink at {x}, {y}");
            }
        }
    }
}
