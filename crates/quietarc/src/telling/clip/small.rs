//! Frames of a clip, made as large as they are shown.

use std::ops::Range;
use std::sync::atomic::AtomicBool;

use job::{ClipColours, ClipGeometry, ClipPicture};

use crate::telling::order::{Item, open};
use crate::telling::pipeline::in_order;

/// A frame made small, or why not.
pub(crate) type Small = Result<ClipPicture, String>;

/// What is the same for all frames.
pub(crate) struct Making<'a> {
    pub(crate) items: &'a [Item],
    pub(crate) geometry: ClipGeometry,
    pub(crate) colours: ClipColours,
    pub(crate) workers: usize,
    /// Becomes true when the person wants an end.
    pub(crate) stop: &'a AtomicBool,
}

fn small(item: &Item, making: &Making<'_>) -> Small {
    let frame = open(item)?;
    let [width, height] = frame.displayed_size();
    let geometry = making.geometry.on([width, height]).ok_or_else(|| {
        let [wanted_width, wanted_height] = making.geometry.frame_px;
        format!("{width} x {height} px does not have the shape of the others, {wanted_width} x {wanted_height} px")
    })?;
    ClipPicture::of(&frame, &geometry, making.colours).map_err(|error| error.to_string())
}

/// Makes the frames of a range small and hands them on in order; see [`in_order`].
pub(crate) fn each_small<E>(
    making: &Making<'_>,
    range: Range<usize>,
    each: impl FnMut(usize, Small) -> Result<(), E>,
) -> Result<(), E> {
    let make = |number: usize| {
        let item = making.items.get(number).ok_or_else(|| "it is no frame of the clip".to_owned())?;
        small(item, making)
    };
    in_order(range, making.workers, making.stop, &make, each)
}
