//! From what an eye sees to what a screen shows.

use std::sync::LazyLock;

use super::OpticsError;
use crate::adaptation::{cone_log10_elevation, rod_log10_elevation};
use crate::error::within;

/// A screen in a dark room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EyeDisplay {
    /// Luminance of its white, cd m⁻².
    pub peak_cd_m2: f64,
    /// Luminance that the person before it is adapted to, cd m⁻².
    pub adapted_cd_m2: f64,
}

impl Default for EyeDisplay {
    /// A screen turned down in a dark room (judgement).
    fn default() -> Self {
        Self { peak_cd_m2: 10.0, adapted_cd_m2: 1.0 }
    }
}

impl EyeDisplay {
    /// Checks the two luminances.
    ///
    /// # Errors
    ///
    /// Out of range.
    pub fn check(&self) -> Result<(), OpticsError> {
        within("white of the screen in cd/m2", self.peak_cd_m2, 0.1, 10_000.0)?;
        within("luminance before the screen in cd/m2", self.adapted_cd_m2, 1e-3, 10_000.0)
    }

    /// Screen luminance for each of the world's: what is just seen there shall be just seen here.
    ///
    /// The better of rods and cones decides. Eyes that have not yet adapted make the world darker.
    pub(super) fn gain(&self, world_cd_m2: f64, minutes: f64) -> f64 {
        let dark = |threshold: fn(f64) -> f64, loss: f64| (10f64.powf(loss) - 1.0) * threshold(0.0);
        let rods = rod_threshold_cd_m2(world_cd_m2) + dark(rod_threshold_cd_m2, rod_log10_elevation(minutes));
        let cones = cone_threshold_cd_m2(world_cd_m2) + dark(cone_threshold_cd_m2, cone_log10_elevation(minutes));
        let here = rod_threshold_cd_m2(self.adapted_cd_m2).min(cone_threshold_cd_m2(self.adapted_cd_m2));
        here / rods.min(cones)
    }
}

/// Least step of luminance that cones see, cd m⁻², by the luminance they are adapted to (cd m⁻²; 0 and not a number are the dark).
///
/// # Source
///
/// J. Ferwerda, S. Pattanaik, P. Shirley & D. Greenberg, Proc. SIGGRAPH 1996, 249.
pub fn cone_threshold_cd_m2(adapted_cd_m2: f64) -> f64 {
    let log = adapted_cd_m2.max(f64::MIN_POSITIVE).log10();
    10f64.powf(if log <= -2.6 {
        -0.72
    } else if log >= 1.9 {
        log - 1.255
    } else {
        (0.249 * log + 0.65).powf(2.7) - 0.72
    })
}

/// The same for rods, scotopic cd m⁻²; same source.
pub fn rod_threshold_cd_m2(adapted_cd_m2: f64) -> f64 {
    let log = adapted_cd_m2.max(f64::MIN_POSITIVE).log10();
    10f64.powf(if log <= -3.94 {
        -2.86
    } else if log >= -1.44 {
        log - 0.395
    } else {
        (0.405 * log + 1.6).powf(2.18) - 2.86
    })
}

/// Tristimulus values to linear sRGB, and back: IEC 61966-2-1, white D65.
const TO_SRGB: [[f64; 3]; 3] = [[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]];
const FROM_SRGB: [[f64; 3]; 3] = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]];
/// Tristimulus values of the screen's white, Y = 1.
pub(super) const WHITE: [f64; 3] = [0.9505, 1.0, 1.0890];

fn product(matrix: &[[f64; 3]; 3], [a, b, c]: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| row[0] * a + row[1] * b + row[2] * c)
}

/// Tristimulus values of linear sRGB; white of 1 has Y = 1.
///
/// # Source
///
/// IEC 61966-2-1.
pub fn xyz_of_linear_srgb(rgb: [f64; 3]) -> [f64; 3] {
    product(&FROM_SRGB, rgb)
}

/// Bytes of sRGB for a colour of luminance `xyz[1]` (1 is white); what no screen can show is brought toward grey, which
/// keeps luminance and hue.
pub(super) fn encoded(xyz: [f64; 3]) -> [u8; 3] {
    let y = xyz[1].clamp(0.0, 1.0);
    let rgb = product(&TO_SRGB, xyz);
    let mut kept = 1.0f64;
    for value in rgb {
        if value < 0.0 {
            kept = kept.min(y / (y - value));
        } else if value > 1.0 {
            kept = kept.min((1.0 - y) / (value - y));
        }
    }
    rgb.map(|value| srgb_byte(y + kept * (value - y)))
}

/// Light from which each byte of sRGB but 0 stands, and for each piece of the unit interval how many of them lie below it.
struct Steps {
    from: [f64; 255],
    below: [u8; PIECES],
}

/// Pieces of the unit interval in which a byte is looked up: at the dark end there is a step in nearly each of them.
const PIECES: usize = 4096;

static STEPS: LazyLock<Steps> = LazyLock::new(|| {
    let from = std::array::from_fn(|byte| linear((byte as f64 + 0.5) / 255.0));
    let below = std::array::from_fn(|piece| {
        let begin = piece as f64 / PIECES as f64;
        from.iter().fold(0u8, |count, step| count + u8::from(*step <= begin))
    });
    Steps { from, below }
});

fn linear(value: f64) -> f64 {
    if value <= 0.040_45 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
}

/// The byte of sRGB nearest to a share of white's light; beyond 0 and 1 the ends, and 0 for what is no number.
///
/// By a table: pictures ask for it millions of times, and the curve costs a power.
///
/// # Source
///
/// IEC 61966-2-1.
///
/// ```
/// assert_eq!([0.0, 0.18, 0.5, 1.0, f64::NAN].map(optics::srgb_byte), [0, 118, 188, 255, 0]);
/// ```
pub fn srgb_byte(light: f64) -> u8 {
    let light = if light > 0.0 { light.min(1.0) } else { 0.0 };
    let steps = &*STEPS;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to the number of pieces")]
    let piece = ((light * PIECES as f64) as usize).min(PIECES - 1);
    let mut byte = steps.below[piece];
    while steps.from.get(usize::from(byte)).is_some_and(|step| *step <= light) {
        byte += 1;
    }
    byte
}

/// From where a screen's highest lights are pressed together by night, share of its white (judgement).
const SHOULDER: f64 = 0.6;

/// Share of the screen's white for light that may exceed it: by day cut off, as in the picture; by night pressed together.
pub(super) fn pressed(share: f64, day: f64) -> f64 {
    if share <= SHOULDER {
        return share;
    }
    let room = 1.0 - SHOULDER;
    let night = SHOULDER + room * (1.0 - (-(share - SHOULDER) / room).exp());
    day * share.min(1.0) + (1.0 - day) * night
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The table against the curve as the standard writes it.
    #[test]
    fn bytes_by_the_table_are_those_of_the_curve() {
        for step in 0..=200_000 {
            let light = f64::from(step) / 200_000.0;
            let value = if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 };
            assert!((f64::from(srgb_byte(light)) - (value * 255.0).round()).abs() < 0.5, "{light}");
        }
        assert_eq!([-1.0, 2.0, f64::INFINITY].map(srgb_byte), [0, 255, 255]);
    }
}
