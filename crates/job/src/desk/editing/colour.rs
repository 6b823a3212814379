//! Blacks cut off and colours pushed to the edge of what a file holds.

use std::ops::ControlFlow;

use frame::{Frame, Layout};
use optics::Channel;

use crate::check::FrameLayers;

/// Rows looked at, at most.
const ROWS: usize = 500;
/// Light up to which a channel is at nothing, share of full scale: two steps of 8 bits in sRGB.
const NOTHING: f32 = 0.000_7;
/// Strongest channel from which a pixel is bright: a hundred of 255 in sRGB.
const BRIGHT: f32 = 0.127;
/// Bright pixels of sky from which a share is told.
const LEAST_BRIGHT: usize = 500;

/// Share of wholly black pixels, and of the sky's bright pixels in which a channel is at nothing.
pub(super) fn shares(frame: &Frame, layers: &FrameLayers) -> (f64, Option<f64>) {
    let [width, height] = frame.stored_size;
    let step = height.div_ceil(ROWS).max(1);
    let channels: &[Channel] = if frame.layout == Layout::Rgb { &Channel::ALL } else { &[Channel::Green] };
    let mut lines: Vec<[Vec<f32>; 2]> = Vec::new();
    for channel in channels {
        let mut index = 0;
        let shown = frame.each_row(*channel, |y, row| {
            if y % step == step / 2 {
                match lines.get_mut(index) {
                    Some([least, most]) => {
                        least.iter_mut().zip(row).for_each(|(least, value)| *least = least.min(*value));
                        most.iter_mut().zip(row).for_each(|(most, value)| *most = most.max(*value));
                    }
                    None => lines.push([row.to_vec(), row.to_vec()]),
                }
                index += 1;
            }
            ControlFlow::Continue(())
        });
        if shown.is_err() {
            return (0.0, None);
        }
    }
    let (mut black, mut all, mut emptied, mut bright) = (0usize, 0usize, 0usize, 0usize);
    for (index, [least, most]) in lines.iter().enumerate() {
        let y = step / 2 + index * step;
        for (x, (least, most)) in least.iter().zip(most).enumerate().take(width) {
            all += 1;
            black += usize::from(*most <= NOTHING);
            if *most >= BRIGHT && !super::twins::is_ground(layers, [x as f64, y as f64]) {
                bright += 1;
                emptied += usize::from(*least <= NOTHING);
            }
        }
    }
    let has_colour = channels.len() > 1 && bright >= LEAST_BRIGHT;
    (black as f64 / all.max(1) as f64, has_colour.then(|| emptied as f64 / bright as f64))
}
