//! A finished stack, as light and as values to store.

use sequence::{BrightestStack, MeanStack};

use super::StackReference;
use crate::tell::ClipPicture;
use crate::tell::clip::picture::srgb_values;

/// A finished stack.
#[derive(Debug, Clone, PartialEq)]
pub struct StackedPicture {
    /// Width and height as shown, px.
    pub size_px: [usize; 2],
    /// Linear light, red, green and blue, row by row: 65 535 is white.
    pub light: Vec<[u16; 3]>,
}

impl StackedPicture {
    /// The mean sky with the reference frame's own ground; where no other frame has the sky, the reference's own.
    pub fn of_mean(reference: &StackReference, own: &ClipPicture, stack: &MeanStack) -> Self {
        let light = own.pixels().iter().enumerate().map(|(pixel, own)| {
            let sky = stack.pixel(pixel).map_or(own.map(f32::from), |(mean, _frames)| mean);
            mixed(*own, sky, reference.ground_weight(pixel))
        });
        Self { size_px: own.size_px, light: light.collect() }
    }

    /// The brightest sky with the reference frame's own ground.
    pub fn of_brightest_sky(reference: &StackReference, own: &ClipPicture, stack: BrightestStack) -> Self {
        let pixels = own.pixels().iter().zip(stack.into_light()).enumerate();
        let light =
            pixels.map(|(pixel, (own, sky))| mixed(*own, sky.map(f32::from), reference.ground_weight(pixel))).collect();
        Self { size_px: own.size_px, light }
    }

    /// The brightest of every pixel, as it is.
    pub fn of_trails(size_px: [usize; 2], stack: BrightestStack) -> Self {
        Self { size_px, light: stack.into_light() }
    }

    /// 8 bits of sRGB, red, green and blue, row by row.
    pub fn rgb_8_bits(&self) -> Vec<u8> {
        let table = srgb_values(1.0, u16::from(u8::MAX));
        let value = |light: u16| table.get(usize::from(light)).and_then(|value| u8::try_from(*value).ok());
        self.light.iter().flatten().map(|light| value(*light).unwrap_or(u8::MAX)).collect()
    }

    /// 16 bits of sRGB, red, green and blue, row by row.
    pub fn rgb_16_bits(&self) -> Vec<u16> {
        let table = srgb_values(1.0, u16::MAX);
        self.light.iter().flatten().map(|light| table.get(usize::from(*light)).copied().unwrap_or(u16::MAX)).collect()
    }
}

fn mixed(own: [u16; 3], sky: [f32; 3], ground: f32) -> [u16; 3] {
    std::array::from_fn(|channel| {
        let light = ground.mul_add(f32::from(own[channel]) - sky[channel], sky[channel]);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 16 bits")]
        let whole = light.clamp(0.0, f32::from(u16::MAX)).round() as u16;
        whole
    })
}
