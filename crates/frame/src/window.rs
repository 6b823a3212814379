//! Small pieces of a frame's channels as light, without ever making a whole plane.

use std::borrow::Cow;

use optics::Channel;

use crate::samples::{Place, Scale, Values};
use crate::{Frame, Layout, MosaicPattern};

/// A frame with what many windows share (the table of its transfer curve) worked out once.
pub(crate) struct Windows<'a> {
    frame: &'a Frame,
    table: Option<Cow<'a, [f32]>>,
    /// Pixels of the frame along one side of a sample: 2 in a mosaic, whose cells are read.
    pub(crate) sample_px: usize,
    /// Columns and rows of samples.
    pub(crate) size: [usize; 2],
}

impl<'a> Windows<'a> {
    pub(crate) fn new(frame: &'a Frame) -> Self {
        let sample_px = if matches!(frame.layout, Layout::Mosaic(_)) { 2 } else { 1 };
        let size = frame.stored_size.map(|side| side / sample_px);
        Self { frame, table: frame.table().map(Cow::Owned), sample_px, size }
    }

    /// Samples of one channel row by row, `size` of them from `corner` on; `into` is emptied first.
    ///
    /// Corner and size count samples: pixels, or the cells of a mosaic, whose two greens are averaged as in
    /// [`Frame::cells`]. A window that reaches beyond the frame is cut: the size that was read is returned.
    pub(crate) fn read(
        &self,
        channel: Channel,
        corner: [usize; 2],
        size: [usize; 2],
        into: &mut Vec<f32>,
    ) -> [usize; 2] {
        into.clear();
        let cut = |axis: usize| size[axis].min(self.size[axis].saturating_sub(corner[axis]));
        let [columns, rows] = [cut(0), cut(1)];
        let scale = self.frame.scale(self.table.as_deref());
        let place = self.frame.places[channel.index()];
        for y in corner[1]..corner[1] + rows {
            let xs = corner[0]..corner[0] + columns;
            match self.frame.layout {
                Layout::Grey | Layout::Rgb => {
                    if let (Values::U8(bytes), Some(table)) = (&self.frame.values, scale.table) {
                        let first = place.first + (y * self.frame.stored_size[0] + corner[0]) * place.step;
                        let bytes = bytes.get(first..).unwrap_or_default().iter().step_by(place.step.max(1));
                        into.extend(bytes.take(columns).map(|value| looked_up(table, usize::from(*value))));
                        // a picture that breaks off has no more
                        into.resize((y - corner[1] + 1) * columns, f32::NAN);
                    } else {
                        into.extend(xs.map(|x| self.value(&scale, place, x, y)));
                    }
                }
                Layout::Mosaic(pattern) => {
                    into.extend(xs.map(|x| self.cell(&scale, pattern, channel, [x, y])));
                }
            }
        }
        [columns, rows]
    }

    /// Pixels as they are, whatever their colour: a mosaic's sites, or the one channel of a grey picture. Corner and size
    /// count pixels; a window beyond the frame is cut.
    pub(crate) fn numbers(&self, corner: [usize; 2], size: [usize; 2], into: &mut Vec<f32>) {
        into.clear();
        let end = |axis: usize| (corner[axis] + size[axis]).min(self.frame.stored_size[axis]);
        let scale = self.frame.scale(self.table.as_deref());
        for y in corner[1]..end(1) {
            into.extend((corner[0]..end(0)).map(|x| self.value(&scale, self.frame.places[0], x, y)));
        }
    }

    fn cell(&self, scale: &Scale<'_>, pattern: MosaicPattern, channel: Channel, [x, y]: [usize; 2]) -> f32 {
        let sites = [(0, 0), (1, 0), (0, 1), (1, 1)].into_iter().filter(|(dx, dy)| pattern.at(*dx, *dy) == channel);
        let (sum, count) = sites.fold((0.0, 0.0), |(sum, count), (dx, dy)| {
            (sum + self.value(scale, self.frame.places[0], 2 * x + dx, 2 * y + dy), count + 1.0)
        });
        sum / count
    }

    fn value(&self, scale: &Scale<'_>, place: Place, x: usize, y: usize) -> f32 {
        let number = y * self.frame.stored_size[0] + x;
        scale.sample(&self.frame.values, place.first + number * place.step, [x, y])
    }
}

impl Scale<'_> {
    /// The light of one number; NaN where there is none.
    fn sample(&self, values: &Values, index: usize, [x, y]: [usize; 2]) -> f32 {
        let number = match (values, self.table) {
            (Values::U8(values), Some(table)) => {
                return values.get(index).map_or(f32::NAN, |value| looked_up(table, usize::from(*value)));
            }
            (Values::U16(values), Some(table)) => {
                return values.get(index).map_or(f32::NAN, |value| looked_up(table, usize::from(*value)));
            }
            (Values::U8(values), None) => values.get(index).map_or(f32::NAN, |value| f32::from(*value)),
            (Values::U16(values), None) => values.get(index).map_or(f32::NAN, |value| f32::from(*value)),
            (Values::F32(values), _) => values.get(index).copied().unwrap_or(f32::NAN),
        };
        let black = self.black[2 * (y % 2) + x % 2];
        (number - black) / (self.white - black)
    }
}

fn looked_up(table: &[f32], value: usize) -> f32 {
    table.get(value).or(table.last()).copied().unwrap_or(f32::NAN)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Limits, open};

    fn picture(head: &str, values: &[u8]) -> Frame {
        open(&[head.as_bytes(), values].concat(), &Limits::default()).unwrap()
    }

    #[test]
    fn a_window_holds_what_the_plane_holds_there() {
        let values: Vec<u8> = (0..5 * 4 * 3).map(|i| i * 4).collect();
        let frame = picture("P6\n5 4\n255\n", &values);
        let windows = Windows::new(&frame);
        let mut read = Vec::new();
        for channel in Channel::ALL {
            let plane = frame.plane(channel).unwrap();
            assert_eq!(windows.read(channel, [1, 2], [3, 2], &mut read), [3, 2]);
            let expected: Vec<f32> = (2..4).flat_map(|y| plane.row(y).part(1..4)).collect();
            assert_eq!(read, expected);
        }
    }

    #[test]
    fn a_window_of_a_mosaic_holds_its_cells() {
        let values: Vec<u8> = (0..6 * 4).map(|i| i * 9).collect();
        let mut frame = picture("P5\n6 4\n255\n", &values);
        frame.layout = Layout::Mosaic(MosaicPattern::from_name("GRBG").unwrap());
        let windows = Windows::new(&frame);
        let mut read = Vec::new();
        for channel in Channel::ALL {
            let cells = frame.cells(channel).unwrap();
            assert_eq!(windows.read(channel, [0, 0], [3, 2], &mut read), [3, 2]);
            assert_eq!(read, cells.samples().as_ref());
        }
    }

    #[test]
    fn a_window_beyond_the_edge_is_cut() {
        let frame = picture("P5\n3 2\n255\n", &[1, 2, 3, 4, 5, 6]);
        let windows = Windows::new(&frame);
        let mut read = vec![7.0];
        assert_eq!(windows.read(Channel::Green, [2, 1], [9, 9], &mut read), [1, 1]);
        assert_eq!(read.len(), 1);
        assert_eq!(windows.read(Channel::Green, [9, 9], [2, 2], &mut read), [0, 0]);
        assert!(read.is_empty());
    }
}
