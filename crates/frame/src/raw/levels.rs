use optics::Channel;

use super::directory::{Directories, Directory, tag};
use super::packed;
use crate::{FrameError, MosaicPattern};

/// TIFF/EP, tag 33422: 0 red, 1 green, 2 blue.
pub(super) fn pattern(file: &Directories<'_>, directory: &Directory) -> Result<MosaicPattern, FrameError> {
    let size = file.wholes(directory, tag::PATTERN_SIZE);
    let colours = file.wholes(directory, tag::PATTERN);
    let letters: String = colours
        .iter()
        .take(4)
        .map(|colour| match colour {
            0 => 'R',
            1 => 'G',
            2 => 'B',
            _ => '?',
        })
        .collect();
    let is_square = size.is_empty() || size == [2, 2];
    MosaicPattern::from_name(&letters)
        .filter(|_| is_square && colours.len() == 4)
        .ok_or_else(|| packed("a raw picture whose colours lie in another pattern than two by two"))
}

pub(super) struct Levels {
    /// By column and row parity.
    pub(super) black: [f32; 4],
    pub(super) white: f32,
    /// Whether the file names a black.
    pub(super) is_said: bool,
}

impl Levels {
    /// DNG, tags 50713, 50714, 50717: the black of a repeating cell, row by row, and one white.
    pub(super) fn read(file: &Directories<'_>, directory: &Directory, count: usize, bits: usize) -> Self {
        let greatest = f64::from((1u32 << bits) - 1);
        let white = file.numbers(directory, tag::WHITE).first().copied().unwrap_or(greatest);
        let white = if white > 0.0 && white <= 65_535.0 { white } else { greatest };
        let levels = file.numbers(directory, tag::BLACK);
        let is_level = |level: &f64| *level >= 0.0 && *level < white;
        let is_said = !levels.is_empty() && levels.iter().all(is_level);
        let black = match (file.wholes(directory, tag::BLACK_REPEAT).as_slice(), levels.as_slice()) {
            _ if !is_said => [0.0; 4],
            ([2, 2], [a, b, c, d]) if count == 1 => [*a, *b, *c, *d],
            ([1, 2], [left, right]) if count == 1 => [*left, *right, *left, *right],
            ([2, 1], [top, bottom]) if count == 1 => [*top, *top, *bottom, *bottom],
            // larger cells and colours apart differ by less than a step in practice: their mean
            (_, all) => [all.iter().sum::<f64>() / all.len() as f64; 4],
        };
        Self { black: black.map(narrow), white: narrow(white), is_said }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a level of 16 bits")]
fn narrow(level: f64) -> f32 {
    level as f32
}

/// DNG, tag 50728: the camera's answer to what it took for white, green set to 1.
pub(super) fn neutral(file: &Directories<'_>) -> Option<[f64; 3]> {
    let found = file.all.iter().map(|directory| file.numbers(directory, tag::NEUTRAL)).find(|n| n.len() == 3)?;
    let green = *found.get(Channel::Green.index())?;
    let neutral = [found[0] / green, 1.0, found[2] / green];
    neutral.iter().all(|share| share.is_finite() && *share > 0.0).then_some(neutral)
}
