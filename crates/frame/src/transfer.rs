use serde::{Deserialize, Serialize};

/// From stored values to light: how a file's numbers, 0..=1 of full scale, are to be read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TransferCurve {
    /// The numbers are light already.
    Linear,
    /// IEC 61966-2-1 (sRGB).
    Srgb,
    /// A plain power: light is the value to this exponent.
    Power(f64),
    /// ITU-R BT.709, the camera side of it.
    Bt709,
    /// The parametric curve of an ICC profile, in its longest form:
    /// `(a v + b)^g + e` from `d` up and `c v + f` below; `[g, a, b, c, d, e, f]`.
    Parametric([f64; 7]),
    /// Equidistant points from 0 to 1, of 65 535.
    Table(Vec<u16>),
}

/// Who says which transfer curve a file has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CurveSource {
    /// A colour profile inside the file.
    Profile,
    /// A field of the file made for it (PNG `gAMA`, `sRGB` or `cICP`; HEIC `nclx`; the Adobe RGB mark of a camera).
    Tag,
    /// The person who asks.
    Given,
    /// Nobody: it is what such files usually have.
    Assumed,
}

/// What the samples of a frame are worth as light.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Linearity {
    /// In proportion to light, with the electrons behind one unit of the file. An offset may still be in it.
    LinearElectrons {
        /// Electrons for each unit of the file.
        electrons_per_unit: f64,
    },
    /// In proportion to light, in no known unit. An offset may still be in it.
    LinearRelative,
    /// Made linear by inverting a transfer curve. A camera's own tone curve, noise reduction and sharpening come on top
    /// and cannot be undone: ratios of bright to faint are good to some tenths at best, shapes of stars are altered.
    DecodedTransfer {
        /// The curve that was inverted.
        curve: TransferCurve,
        /// Who says so.
        source: CurveSource,
    },
}

impl Linearity {
    /// Whether the numbers were recorded in proportion to light.
    pub fn is_linear(&self) -> bool {
        match self {
            Self::LinearElectrons { .. } | Self::LinearRelative => true,
            Self::DecodedTransfer { curve, .. } => *curve == TransferCurve::Linear,
        }
    }
}

/// IEC 61966-2-1:1999 with its amendment 1, from the value to light: the linear part's end and slope, then offset and
/// exponent of the rest.
const SRGB: [f64; 4] = [0.04045, 12.92, 0.055, 2.4];
/// ITU-R BT.709-6, item 1.2, inverted: end of the linear part, slope, offset, exponent.
const BT709: [f64; 4] = [0.081, 4.5, 0.099, 1.0 / 0.45];

/// Exponents this close to 1 are 1: PNG has five decimals, profiles eight bits.
const EXPONENT_OF_ONE: f64 = 0.002;

impl TransferCurve {
    /// A plain power, or [`TransferCurve::Linear`] where the exponent is 1.
    pub(crate) fn power(exponent: f64) -> Self {
        if (exponent - 1.0).abs() < EXPONENT_OF_ONE { Self::Linear } else { Self::Power(exponent) }
    }

    /// Light, 0..=1 of full scale, behind a stored value of 0..=1 of full scale.
    pub fn light(&self, value: f64) -> f64 {
        match self {
            Self::Linear => value,
            Self::Srgb => two_part(value, SRGB),
            Self::Bt709 => two_part(value, BT709),
            Self::Power(exponent) => value.max(0.0).powf(*exponent),
            Self::Parametric([g, a, b, c, d, e, f]) => {
                if value >= *d {
                    (a * value + b).max(0.0).powf(*g) + e
                } else {
                    c * value + f
                }
            }
            Self::Table(points) => interpolated(points, value),
        }
    }

    /// The light of every whole value up to `top`: a picture asks for the same few values millions of times.
    ///
    /// Full scale is exactly 1, by which clipping is told, also where a profile's rounded numbers end beside it.
    pub(crate) fn table(&self, top: u16) -> Vec<f32> {
        let full = f64::from(top.max(1));
        let end = self.light(1.0);
        (0..=top).map(|value| narrow(self.light(f64::from(value) / full) / end)).collect()
    }
}

fn two_part(value: f64, [end, slope, offset, exponent]: [f64; 4]) -> f64 {
    if value <= end { value / slope } else { ((value + offset) / (1.0 + offset)).powf(exponent) }
}

fn interpolated(points: &[u16], value: f64) -> f64 {
    let Some(last) = points.len().checked_sub(1) else { return value };
    let place = value.clamp(0.0, 1.0) * last as f64;
    let below = whole(place).min(last);
    let above = (below + 1).min(last);
    let share = place - below as f64;
    (f64::from(points[below]) * (1.0 - share) + f64::from(points[above]) * share) / f64::from(u16::MAX)
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 or more, and below a table's length")]
fn whole(place: f64) -> usize {
    place.floor() as usize
}

#[expect(clippy::cast_possible_truncation, reason = "light of 0..=1 to the precision of a plane")]
fn narrow(light: f64) -> f32 {
    light as f32
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "these numbers are exact")]
mod tests {
    use super::*;

    /// IEC 61966-2-1: 12.92 below the knee; mid-grey 118/255 is close to 18 % light, and 188/255 to 50 %.
    #[test]
    fn the_srgb_curve_has_its_published_values() {
        let light = |level: f64| TransferCurve::Srgb.light(level / 255.0);
        assert!((light(1.0) - 1.0 / 255.0 / 12.92).abs() < 1e-12);
        assert!((light(118.0) - 0.181_164).abs() < 1e-6);
        assert!((light(188.0) - 0.502_886).abs() < 1e-6);
        assert!((light(255.0) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_parametric_form_of_srgb_agrees_with_its_own() {
        let form = TransferCurve::Parametric([2.4, 1.0 / 1.055, 0.055 / 1.055, 1.0 / 12.92, 0.04045, 0.0, 0.0]);
        for level in 0..=255 {
            let value = f64::from(level) / 255.0;
            assert!((form.light(value) - TransferCurve::Srgb.light(value)).abs() < 1e-12);
        }
    }

    #[test]
    fn a_table_is_followed_between_its_points() {
        let table = TransferCurve::Table(vec![0, 16_384, 65_535]);
        assert!((table.light(0.25) - 8_192.0 / 65_535.0).abs() < 1e-12);
        assert!((table.light(1.0) - 1.0).abs() < 1e-12);
        assert_eq!(TransferCurve::Table(Vec::new()).light(0.5), 0.5);
    }

    #[test]
    fn curves_rise_all_the_way() {
        // BT.709 is left out: its published constants leave a step of 4e-5 at the knee
        for curve in [TransferCurve::Srgb, TransferCurve::Power(2.2), TransferCurve::Linear] {
            let table = curve.table(u16::MAX);
            assert_eq!(table.len(), 65_536);
            assert!(table.windows(2).all(|pair| pair[0] < pair[1]), "{curve:?}");
            assert_eq!(table[65_535], 1.0);
        }
    }
}
