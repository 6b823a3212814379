//! A picture made small by averaging light over areas, row by row as it is read.

use std::ops::ControlFlow;

use frame::{Frame, FrameError};
use optics::Channel;

use super::picture::whole;

/// Pixels that a stretch of the small picture covers.
struct Span {
    first: usize,
    /// Share of the first pixel, and of the last; all between count whole.
    shares: [f32; 2],
    last: usize,
    inverse: f32,
}

fn spans(start: f64, length: f64, count: usize, held: usize) -> Vec<Span> {
    let step = length / count as f64;
    let of = |i: usize| {
        let from = (start + step * i as f64).clamp(0.0, held as f64);
        let to = (start + step * (i + 1) as f64).clamp(from, held as f64);
        let first = whole(from).min(held - 1);
        let last = whole(to - 1e-9).clamp(first, held - 1);
        let share = |px: usize| (to.min(px as f64 + 1.0) - from.max(px as f64)).max(1e-6);
        #[expect(clippy::cast_possible_truncation, reason = "shares and small sums")]
        let span = Span {
            first,
            shares: [share(first) as f32, share(last) as f32],
            last,
            inverse: (to - from).max(1e-6).recip() as f32,
        };
        span
    };
    (0..count).map(of).collect()
}

/// One channel of a part of the stored frame, made `small`.
pub(super) fn shrunk(
    frame: &Frame,
    channel: Channel,
    part: [f64; 4],
    small: [usize; 2],
) -> Result<Vec<f32>, FrameError> {
    // a mosaic's own cells: half the size, and no filling
    if let Some(plane) = frame.cells(channel) {
        let size = [plane.width(), plane.height()];
        let mut shrink = Shrink::new(part.map(|px| 0.5 * px), small, size);
        plane.samples().chunks_exact(size[0].max(1)).enumerate().for_each(|(y, row)| shrink.take(y, row));
        return Ok(shrink.done);
    }
    let mut shrink = Shrink::new(part, small, frame.stored_size);
    let end = shrink.rows.last().map_or(0, |span| span.last);
    frame.each_row(channel, |y, row| {
        shrink.take(y, row);
        if y >= end { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    })?;
    Ok(shrink.done)
}

/// A picture that shrinks while its rows come.
struct Shrink {
    columns: Vec<Span>,
    rows: Vec<Span>,
    done: Vec<f32>,
    /// The row in the making, and its number.
    sums: Vec<f32>,
    at: usize,
    across: Vec<f32>,
}

impl Shrink {
    fn new([left, top, width, height]: [f64; 4], small: [usize; 2], held: [usize; 2]) -> Self {
        Self {
            columns: spans(left, width, small[0], held[0]),
            rows: spans(top, height, small[1], held[1]),
            done: Vec::with_capacity(small[0] * small[1]),
            sums: vec![0.0; small[0]],
            at: 0,
            across: vec![0.0; small[0]],
        }
    }

    fn take(&mut self, y: usize, row: &[f32]) {
        if self.rows.get(self.at).is_none_or(|span| y < span.first) {
            return;
        }
        for (sum, span) in self.across.iter_mut().zip(&self.columns) {
            let Some(pixels) = row.get(span.first..=span.last) else { continue };
            let [first, last] = [pixels[0], pixels[pixels.len() - 1]];
            let all: f32 = pixels.iter().sum();
            let cut =
                (1.0 - span.shares[0]) * first + if pixels.len() > 1 { (1.0 - span.shares[1]) * last } else { 0.0 };
            *sum = (all - cut) * span.inverse;
        }
        // a row of a large frame ends one row of the small one and begins the next; one of a small frame fills several
        while let Some(span) = self.rows.get(self.at) {
            if y < span.first {
                return;
            }
            let share = if y == span.first {
                span.shares[0]
            } else if y == span.last {
                span.shares[1]
            } else {
                1.0
            };
            let share = share * span.inverse;
            self.sums.iter_mut().zip(&self.across).for_each(|(sum, across)| *sum += share * across);
            if y < span.last {
                return;
            }
            self.done.append(&mut std::mem::replace(&mut self.sums, vec![0.0; self.columns.len()]));
            self.at += 1;
        }
    }
}
