use serde::Serialize;

use super::array::{Keogram, LightUnit};
use crate::robust::middle_and_spread;

/// Light that counts as aurora in a calibrated keogram, kR: brightness class I of the International Brightness Coefficient.
const LIT_KR: f64 = 1.0;
/// In one that is not calibrated: this share above the bin's own background...
const LIT_SHARE: f64 = 0.3;
/// ...and by so many spreads of its noise.
const LIT_SPREADS: f64 = 5.0;
/// Fewest neighbouring lit bins that are a form and no stray.
const LEAST_BINS: usize = 2;

/// What counts as lit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LitRule {
    /// Above a brightness, in the keogram's unit.
    Above(f64),
    /// A share above the bin's own background over the sequence, and five spreads of its noise. Light that never moves
    /// counts as background.
    AboveBackground,
}

impl LitRule {
    /// 1 kR where the keogram is calibrated, above the background where it is not.
    pub fn for_unit(unit: LightUnit) -> Self {
        match unit {
            LightUnit::Kilorayleighs => Self::Above(LIT_KR),
            LightUnit::ShareOfFullScale | LightUnit::FileNumbers => Self::AboveBackground,
        }
    }
}

/// An edge of the lit sky along a line.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Border {
    /// Angle along the line, degrees, between the last lit bin and the first that is not.
    pub zenith_angle_deg: f64,
    /// Magnetic latitude there, degrees, for the height assumed.
    pub magnetic_latitude_deg: Option<f64>,
    /// The lit sky goes on beyond the view: the true edge lies further out.
    pub open: bool,
}

/// The two edges in one column.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Borders {
    /// The column.
    pub column: usize,
    /// Edge on the side of negative angles: equatorward in a keogram.
    pub near: Border,
    /// Edge on the side of the line's azimuth: poleward in a keogram.
    pub far: Border,
}

/// Edges of the lit sky in every column that has any; columns in which nothing is lit are left out.
pub fn borders(keogram: &Keogram, rule: LitRule) -> Vec<Borders> {
    let thresholds = thresholds(keogram, rule);
    (0..keogram.len()).filter_map(|column| of_column(keogram, &thresholds, column)).collect()
}

fn thresholds(keogram: &Keogram, rule: LitRule) -> Vec<f64> {
    match rule {
        LitRule::Above(limit) => vec![limit; keogram.line().bins.len()],
        LitRule::AboveBackground => keogram
            .background()
            .iter()
            .enumerate()
            .map(|(bin, background)| background * (1.0 + LIT_SHARE) + LIT_SPREADS * noise(keogram, bin))
            .collect(),
    }
}

/// Noise of a bin from the differences of neighbouring columns, which slow changes do not raise.
fn noise(keogram: &Keogram, bin: usize) -> f64 {
    let values: Vec<f64> = (0..keogram.len())
        .map(|column| f64::from(keogram.value(column, bin)))
        .filter(|value| value.is_finite())
        .collect();
    let differences: Vec<f64> = values.windows(2).map(|pair| pair[1] - pair[0]).collect();
    middle_and_spread(&differences).map_or(0.0, |(_, spread)| spread / std::f64::consts::SQRT_2)
}

fn of_column(keogram: &Keogram, thresholds: &[f64], column: usize) -> Option<Borders> {
    let excess: Vec<f64> =
        thresholds.iter().enumerate().map(|(bin, limit)| f64::from(keogram.value(column, bin)) - limit).collect();
    let lit = |bin: usize| excess.get(bin).is_some_and(|value| *value > 0.0);
    let in_form = |bin: usize| {
        (0..LEAST_BINS).any(|shift| bin.checked_sub(shift).is_some_and(|from| (from..from + LEAST_BINS).all(lit)))
    };
    let mut forms = (0..excess.len()).filter(|bin| in_form(*bin));
    let first = forms.next()?;
    let last = forms.next_back().unwrap_or(first);
    Some(Borders {
        column,
        near: border(keogram, &excess, first, first.checked_sub(1)),
        far: border(keogram, &excess, last, Some(last + 1)),
    })
}

/// The edge between a lit bin and the dark one beyond it, where the light crosses the limit.
fn border(keogram: &Keogram, excess: &[f64], lit: usize, dark: Option<usize>) -> Border {
    let bins = &keogram.line().bins;
    let beyond = dark.and_then(|dark| Some((dark, *excess.get(dark)?))).filter(|(_, value)| value.is_finite());
    let share = beyond.map_or(0.0, |(_, value)| (excess[lit] / (excess[lit] - value)).clamp(0.0, 1.0));
    let between = |a: f64, b: f64| a + (b - a) * share;
    let other = beyond.map_or(lit, |(dark, _)| dark);
    let latitude = |bin: usize| bins[bin].place.and_then(|place| place.magnetic_latitude_deg);
    Border {
        zenith_angle_deg: between(bins[lit].zenith_angle_deg, bins[other].zenith_angle_deg),
        magnetic_latitude_deg: latitude(lit).zip(latitude(other)).map(|(a, b)| between(a, b)),
        open: beyond.is_none(),
    }
}
