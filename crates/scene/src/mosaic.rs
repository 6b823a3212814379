use optics::Channel;

/// The colour filters of every kit: red, green over green, blue.
#[derive(Debug, Clone, Copy)]
pub struct Mosaic;

impl Mosaic {
    /// Name of the pattern.
    pub const NAME: &'static str = "RGGB";

    /// Colour of the pixel in column `x` of row `y`.
    pub fn channel(x: usize, y: usize) -> Channel {
        match (x % 2, y % 2) {
            (0, 0) => Channel::Red,
            (1, 1) => Channel::Blue,
            _ => Channel::Green,
        }
    }
}
