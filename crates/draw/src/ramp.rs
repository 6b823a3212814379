//! One way to colour brightness, everywhere.
//!
//! Lightness rises evenly with the logarithm of the brightness, so that greyscale, print and colour-blind eyes see
//! the same order; hue only helps: black, indigo, plum, ember, straw. No green, which would read as "go".

use crate::Palette;
use crate::colour::Rgb;

/// Brightness at the dark end of the ramp, kR: no aurora an eye could see.
pub const LOWEST_KR: f64 = 0.1;
/// Brightness at the light end, kR: IBC IV.
pub const HIGHEST_KR: f64 = 1000.0;
/// Number of stops given to the page: three a decade.
pub const RAMP_STOPS: usize = 13;

/// CIE L* at the two ends, light palettes.
const LIGHTNESS: (f64, f64) = (3.5, 94.0);
/// CIE L* at the two ends for dark-adapted eyes: red alone, and not much of it.
const DARK_EYES_LIGHTNESS: (f64, f64) = (0.0, 34.0);
/// Chroma and hue (degrees) of CIE LCh at even steps of the ramp; joined by straight lines.
const CHROMA_HUE: [(f64, f64); 9] = [
    (3.0, 295.0),
    (27.0, 297.0),
    (42.0, 308.0),
    (48.0, 332.0),
    (52.0, 362.0),
    (56.0, 396.0),
    (56.0, 424.0),
    (48.0, 443.0),
    (24.0, 456.0),
];

/// The colour of a brightness in kR. Outside [`LOWEST_KR`]..[`HIGHEST_KR`] the end colour; not a number is dark.
pub fn brightness_colour(brightness_kr: f64, palette: Palette) -> Rgb {
    colour_at(place_on_ramp(brightness_kr), palette)
}

/// Brightness of a stop, kR; stops run from 0 to [`RAMP_STOPS`] - 1.
pub fn stop_kr(stop: usize) -> f64 {
    let share = stop.min(RAMP_STOPS - 1) as f64 / (RAMP_STOPS - 1) as f64;
    LOWEST_KR * (HIGHEST_KR / LOWEST_KR).powf(share)
}

/// Where a brightness falls between the ends of the ramp, 0..1.
pub(crate) fn place_on_ramp(brightness_kr: f64) -> f64 {
    if brightness_kr > LOWEST_KR {
        ((brightness_kr / LOWEST_KR).log10() / (HIGHEST_KR / LOWEST_KR).log10()).min(1.0)
    } else {
        0.0
    }
}

/// The colour at a share of the ramp, 0..1.
pub(crate) fn colour_at(share: f64, palette: Palette) -> Rgb {
    let share = share.clamp(0.0, 1.0);
    if palette == Palette::DarkEyes {
        return Rgb::red_of_lightness(between(DARK_EYES_LIGHTNESS, share));
    }
    let place = share * (CHROMA_HUE.len() - 1) as f64;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "share is 0..=1")]
    let before = (place.floor() as usize).min(CHROMA_HUE.len() - 2);
    let part = place - before as f64;
    let (a, b) = (CHROMA_HUE[before], CHROMA_HUE[before + 1]);
    Rgb::from_lch(between(LIGHTNESS, share), between((a.0, b.0), part), between((a.1, b.1), part))
}

fn between(ends: (f64, f64), share: f64) -> f64 {
    ends.0 + share * (ends.1 - ends.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::linear;

    /// Steps looked at along the ramp.
    const STEPS: u32 = 48;
    /// Largest step over the mean step of L*: 8-bit rounding near black makes 0.3 of a step of 1.9, colours cut
    /// to the screen's gamut may make as much again.
    const LARGEST_STEP_RATIO: f64 = 1.5;
    const SMALLEST_STEP_RATIO: f64 = 0.5;
    /// Luminance no dark-eyes colour may pass: 8 % of the screen's white, half that of its text.
    const DARK_EYES_LUMINANCE: f64 = 0.085;

    fn lightnesses(palette: Palette) -> Vec<f64> {
        (0..=STEPS).map(|i| colour_at(f64::from(i) / f64::from(STEPS), palette).lightness()).collect()
    }

    #[test]
    fn lightness_rises_evenly() {
        for palette in [Palette::Day, Palette::Print, Palette::DarkEyes] {
            let all = lightnesses(palette);
            let mean = (all[all.len() - 1] - all[0]) / f64::from(STEPS);
            for (index, pair) in all.windows(2).enumerate() {
                let ratio = (pair[1] - pair[0]) / mean;
                assert!(
                    (SMALLEST_STEP_RATIO..LARGEST_STEP_RATIO).contains(&ratio),
                    "{palette:?}, step {index} of {STEPS}: {ratio:.2} times the mean step"
                );
            }
        }
    }

    /// Red-green colour blindness after Viénot, Brettel & Mollon, Color Res. Appl. 24, 243 (1999), linear RGB.
    #[test]
    fn lightness_rises_for_colour_blind_eyes_too() {
        let protan = [0.11238, 0.88762];
        let deutan = [0.29275, 0.70725];
        for weights in [protan, deutan] {
            let mut before = -1.0;
            for i in 0..=24 {
                let c = colour_at(f64::from(i) / 24.0, Palette::Day);
                let yellow = weights[0] * linear(c.red) + weights[1] * linear(c.green);
                let luminance = 0.9278 * yellow + 0.0722 * linear(c.blue);
                assert!(luminance > before, "step {i}");
                before = luminance;
            }
        }
    }

    #[test]
    fn green_never_leads() {
        for i in 0..=STEPS {
            let c = colour_at(f64::from(i) / f64::from(STEPS), Palette::Day);
            assert!(c.green <= c.red.max(c.blue), "{c}");
        }
    }

    #[test]
    fn dark_eyes_are_red_alone_and_dim() {
        for i in 0..=STEPS {
            let c = colour_at(f64::from(i) / f64::from(STEPS), Palette::DarkEyes);
            assert_eq!((c.green, c.blue), (0, 0));
            assert!(c.relative_luminance() < DARK_EYES_LUMINANCE, "{c}");
        }
    }

    #[test]
    fn what_is_no_brightness_is_dark() {
        let dark = brightness_colour(LOWEST_KR, Palette::Day);
        for value in [f64::NAN, -3.0, 0.0, f64::NEG_INFINITY] {
            assert_eq!(brightness_colour(value, Palette::Day), dark);
        }
        assert_eq!(brightness_colour(f64::INFINITY, Palette::Day), brightness_colour(HIGHEST_KR, Palette::Day));
    }

    #[test]
    fn stops_run_over_the_whole_ramp() {
        assert!((stop_kr(0) - LOWEST_KR).abs() < 1e-12);
        assert!((stop_kr(3) - 1.0).abs() < 1e-9);
        assert!((stop_kr(RAMP_STOPS - 1) - HIGHEST_KR).abs() < 1e-6);
    }
}
