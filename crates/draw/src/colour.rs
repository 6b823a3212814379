use std::fmt;

/// A colour of the screen: 8-bit sRGB. Its `Display` is the hexadecimal form, `#1d2c3b`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rgb {
    /// Red.
    pub red: u8,
    /// Green.
    pub green: u8,
    /// Blue.
    pub blue: u8,
}

/// White of the screen (D65) in XYZ, Y = 1; IEC 61966-2-1.
const WHITE: [f64; 3] = [0.95047, 1.0, 1.08883];

impl Rgb {
    /// A colour from its three parts.
    pub const fn new(red: u8, green: u8, blue: u8) -> Self {
        Self { red, green, blue }
    }

    /// Relative luminance, 0 black to 1 white (IEC 61966-2-1).
    pub fn relative_luminance(self) -> f64 {
        0.2126 * linear(self.red) + 0.7152 * linear(self.green) + 0.0722 * linear(self.blue)
    }

    /// CIE L*, 0 black to 100 white.
    pub fn lightness(self) -> f64 {
        116.0 * lab_root(self.relative_luminance()) - 16.0
    }

    /// Contrast ratio with another colour, 1 to 21, as the Web Content Accessibility Guidelines define it.
    pub fn contrast(self, other: Self) -> f64 {
        let (a, b) = (self.relative_luminance() + 0.05, other.relative_luminance() + 0.05);
        if a > b { a / b } else { b / a }
    }

    /// The nearest screen colour to a CIE LCh colour (D65): lightness 0..100, chroma, hue in degrees.
    pub(crate) fn from_lch(lightness: f64, chroma: f64, hue_deg: f64) -> Self {
        let fy = (lightness + 16.0) / 116.0;
        let fx = fy + chroma * hue_deg.to_radians().cos() / 500.0;
        let fz = fy - chroma * hue_deg.to_radians().sin() / 200.0;
        let [x, y, z] = [WHITE[0] * lab_cube(fx), WHITE[1] * lab_cube(fy), WHITE[2] * lab_cube(fz)];
        Self::new(
            encoded(3.240454 * x - 1.537139 * y - 0.498531 * z),
            encoded(-0.969266 * x + 1.876011 * y + 0.041556 * z),
            encoded(0.055643 * x - 0.204026 * y + 1.057225 * z),
        )
    }

    /// Pure red whose CIE L* is `lightness`.
    pub(crate) fn red_of_lightness(lightness: f64) -> Self {
        Self::new(encoded(lab_cube((lightness + 16.0) / 116.0) / 0.2126), 0, 0)
    }
}

impl fmt::Display for Rgb {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "#{:02x}{:02x}{:02x}", self.red, self.green, self.blue)
    }
}

/// Light of an 8-bit part, 0..1 (IEC 61966-2-1).
pub(crate) fn linear(part: u8) -> f64 {
    let share = f64::from(part) / 255.0;
    if share <= 0.04045 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
}

/// The 8-bit part for an amount of light; what the screen cannot show is cut off.
fn encoded(light: f64) -> u8 {
    let share = if light <= 0.0031308 { 12.92 * light } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 0..=255")]
    let part = (share.clamp(0.0, 1.0) * 255.0).round() as u8;
    part
}

/// Cube root with the straight piece near black (CIE 15).
fn lab_root(t: f64) -> f64 {
    if t > 216.0 / 24389.0 { t.cbrt() } else { (24389.0 / 27.0 * t + 16.0) / 116.0 }
}

fn lab_cube(f: f64) -> f64 {
    if f > 6.0 / 29.0 { f.powi(3) } else { (116.0 * f - 16.0) * 27.0 / 24389.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An 8-bit step near black is 0.3 L*.
    const LIGHTNESS_TOLERANCE: f64 = 0.4;

    #[test]
    fn lightness_of_white_red_and_a_round_trip() {
        assert!((Rgb::new(255, 255, 255).lightness() - 100.0).abs() < 0.01);
        // sRGB red has L* 53.24 (CIE 15 with the IEC 61966-2-1 primaries)
        assert!((Rgb::new(255, 0, 0).lightness() - 53.24).abs() < 0.02);
        for lightness in [5.0, 40.0, 90.0] {
            assert!((Rgb::from_lch(lightness, 8.0, 60.0).lightness() - lightness).abs() < LIGHTNESS_TOLERANCE);
        }
    }

    #[test]
    fn black_on_white_has_the_greatest_contrast() {
        assert!((Rgb::new(0, 0, 0).contrast(Rgb::new(255, 255, 255)) - 21.0).abs() < 1e-9);
    }
}
