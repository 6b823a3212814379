//! Frames laid over one another, pixel by pixel: what is held does not grow with their number.

mod brightest;
mod mean;
mod moments;

pub use brightest::BrightestStack;
pub use mean::MeanStack;
pub use moments::{StackLimits, StackMoments};

/// Luminance of linear light, by the weights of ITU-R BT.709-6, item 3.2, in 65 536ths; 65 535 is white.
pub(crate) fn luminance([red, green, blue]: [u16; 3]) -> u16 {
    const WEIGHTS: [u32; 3] = [13_933, 46_871, 4_732];
    let sum = WEIGHTS[0] * u32::from(red) + WEIGHTS[1] * u32::from(green) + WEIGHTS[2] * u32::from(blue);
    u16::try_from(sum >> 16).unwrap_or(u16::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn white_and_black_keep_their_luminance() {
        assert_eq!(luminance([0; 3]), 0);
        assert_eq!(luminance([u16::MAX; 3]), u16::MAX);
    }
}
