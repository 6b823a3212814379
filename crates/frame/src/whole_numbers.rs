//! The light of every whole number a file can hold: one look-up a pixel, and comparisons made before the look-up.

use crate::samples::{Scale, Values};

/// Light by stored number, over all that its type can hold.
pub(crate) struct WholeLight {
    light: Vec<f32>,
    /// Whether more stored is never less light: order among stored numbers is then order among lights.
    rises: bool,
}

impl WholeLight {
    /// `None` for numbers in floating point, and where black depends on the place.
    pub(crate) fn of(values: &Values, scale: &Scale<'_>) -> Option<Self> {
        let top = match values {
            Values::U8(_) => u16::from(u8::MAX),
            Values::U16(_) => u16::MAX,
            Values::F32(_) => return None,
        };
        if scale.table.is_none() && !scale.has_one_black() {
            return None;
        }
        let light: Vec<f32> = (0..=top).map(|value| scale.of_whole(value)).collect();
        let rises = light.iter().all(|light| light.is_finite()) && light.windows(2).all(|pair| pair[0] <= pair[1]);
        Some(Self { light, rises })
    }

    pub(crate) fn light(&self) -> &[f32] {
        &self.light
    }

    pub(crate) fn rises(&self) -> bool {
        self.rises
    }

    /// The least stored number whose light is at least this much; more than any where none is.
    pub(crate) fn least_with(&self, light: f32) -> usize {
        self.light.partition_point(|of_number| *of_number < light)
    }
}
