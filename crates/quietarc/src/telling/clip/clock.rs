//! The time of a frame, in words and in a corner of it.

use frame::TakenAt;

use crate::failure::Failure;
use crate::raster::{self, Pixels};

/// Height of the letters, and distance from the edges, as shares of the picture's shorter side: read from across a room, and
/// within the graphics-safe area of EBU R 95 (5 % from each edge of a 16:9 picture).
const LETTERS: f64 = 0.035;
const SAFE: f64 = 0.05;

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
    let [margin, line] = [SAFE * short, 1.6 * size];
    let svg = format!(
        "<svg xmlns='http://www.w3.org/2000/svg' width='{width}' height='{line:.0}'>\
         <text x='{margin:.0}' y='{:.0}' font-size='{size:.1}' fill='#fff' stroke='#000' stroke-width='{:.1}' \
         stroke-linejoin='round' paint-order='stroke'>{text}</text></svg>",
        1.2 * size,
        0.16 * size
    );
    let drawn = raster::pixels(&svg)?;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "within the picture")]
    let top = (height as f64 - margin - line).max(0.0) as usize;
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
