//! Frames opened and made small by several workers, handed on in order; few are held at a time.

use std::collections::BTreeMap;
use std::ops::Range;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::sync::{Condvar, Mutex, PoisonError};

use frame::{Frame, Limits, open_preview};
use job::{ClipColours, ClipGeometry, ClipPicture};

use super::order::Item;
use crate::frame_file;

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

/// How far the workers may go: frames beyond it wait, so that memory has a bound.
struct Gate {
    end: Mutex<usize>,
    moved: Condvar,
}

impl Gate {
    fn wait_for(&self, number: usize, stop: &AtomicBool) -> bool {
        let mut end = self.end.lock().unwrap_or_else(PoisonError::into_inner);
        while number >= *end && !stop.load(Ordering::Relaxed) {
            end = self.moved.wait(end).unwrap_or_else(PoisonError::into_inner);
        }
        !stop.load(Ordering::Relaxed)
    }

    fn open_to(&self, to: usize) {
        let mut end = self.end.lock().unwrap_or_else(PoisonError::into_inner);
        *end = (*end).max(to);
        self.moved.notify_all();
    }
}

/// Opens a frame as it is shown: the finished picture inside a raw file where there is one.
pub(crate) fn open(item: &Item) -> Result<Frame, String> {
    let bytes = frame_file::read(&item.path).map_err(|fault| fault.message)?;
    catch_unwind(AssertUnwindSafe(|| open_preview(&bytes, &Limits::default())))
        .map_err(|_panic| "opening it failed inside the program".to_owned())?
        .map_err(|error| error.to_string())
}

fn small(item: &Item, making: &Making<'_>) -> Small {
    let frame = open(item)?;
    let [width, height] = frame.displayed_size();
    let geometry = making.geometry.on([width, height]).ok_or_else(|| {
        let [wanted_width, wanted_height] = making.geometry.frame_px;
        format!("{width} x {height} px does not have the shape of the others, {wanted_width} x {wanted_height} px")
    })?;
    if frame.cut_short {
        return Err("the file breaks off before its picture ends".to_owned());
    }
    ClipPicture::of(&frame, &geometry, making.colours).map_err(|error| error.to_string())
}

/// Makes the frames of a range small and hands them on in order.
///
/// The workers go no further than two frames each beyond the last one handed on. A stop ends the work early, without an error.
///
/// * `each`: its error ends the work.
pub(crate) fn each_small<E>(
    making: &Making<'_>,
    range: Range<usize>,
    mut each: impl FnMut(usize, Small) -> Result<(), E>,
) -> Result<(), E> {
    let workers = making.workers.clamp(1, range.len().max(1));
    let gate = Gate { end: Mutex::new(range.start + 2 * workers), moved: Condvar::new() };
    let next = Mutex::new(range.start);
    let given_up = AtomicBool::new(false);
    std::thread::scope(|scope| {
        let (sender, receiver) = sync_channel(workers);
        for _worker in 0..workers {
            let sender = sender.clone();
            let (gate, next, given_up, range) = (&gate, &next, &given_up, &range);
            scope.spawn(move || work(making, range, gate, next, given_up, &sender));
        }
        drop(sender);
        let done = in_order(&receiver, range.start, |number, small| {
            let done = each(number, small);
            gate.open_to(number + 1 + 2 * workers);
            done
        });
        given_up.store(true, Ordering::Relaxed);
        // whoever waits at the gate or at the channel must see it
        drop(receiver);
        gate.open_to(usize::MAX);
        done
    })
}

fn work(
    making: &Making<'_>,
    range: &Range<usize>,
    gate: &Gate,
    next: &Mutex<usize>,
    given_up: &AtomicBool,
    sender: &SyncSender<(usize, Small)>,
) {
    loop {
        let number = {
            let mut next = next.lock().unwrap_or_else(PoisonError::into_inner);
            *next += 1;
            *next - 1
        };
        if number >= range.end || !gate.wait_for(number, making.stop) || given_up.load(Ordering::Relaxed) {
            return;
        }
        let Some(item) = making.items.get(number) else { return };
        if sender.send((number, small(item, making))).is_err() {
            return;
        }
    }
}

fn in_order<E>(
    receiver: &Receiver<(usize, Small)>,
    first: usize,
    mut each: impl FnMut(usize, Small) -> Result<(), E>,
) -> Result<(), E> {
    let mut waiting = BTreeMap::new();
    let mut wanted = first;
    for (number, small) in receiver {
        waiting.insert(number, small);
        while let Some(small) = waiting.remove(&wanted) {
            each(wanted, small)?;
            wanted += 1;
        }
    }
    Ok(())
}
