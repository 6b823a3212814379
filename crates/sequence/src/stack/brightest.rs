use super::luminance;

/// Of every pixel the brightest of all frames, by luminance, with its own colour.
///
/// Light is linear, red, green and blue of 0 to 65 535. Noise is kept at its brightest too: the ground lies above that of one
/// frame by two to three times its noise, which a caption should say.
#[derive(Debug, Clone, PartialEq)]
pub struct BrightestStack {
    light: Vec<[u16; 3]>,
}

impl BrightestStack {
    /// A stack of so many pixels, black.
    pub fn new(pixels: usize) -> Self {
        Self { light: vec![[0; 3]; pixels] }
    }

    /// Takes a frame's light at a pixel in; a pixel beyond the last one is left out.
    pub fn push(&mut self, pixel: usize, light: [u16; 3]) {
        if let Some(held) = self.light.get_mut(pixel)
            && luminance(light) > luminance(*held)
        {
            *held = light;
        }
    }

    /// The stack, pixel by pixel.
    pub fn into_light(self) -> Vec<[u16; 3]> {
        self.light
    }
}
