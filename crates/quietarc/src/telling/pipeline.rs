//! Frames opened and worked on by several workers, handed on in order; few are held at a time.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::sync::{Condvar, Mutex, PoisonError};

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

/// What the workers share.
struct Line<'a, T> {
    range: Range<usize>,
    make: &'a (dyn Fn(usize) -> T + Sync),
    gate: Gate,
    next: Mutex<usize>,
    given_up: AtomicBool,
    stop: &'a AtomicBool,
}

/// Makes something of every number of a range, by several workers, and hands it on in order.
///
/// The workers go no further than two each beyond the last one handed on. A stop ends the work early, without an error.
///
/// * `each`: its error ends the work.
pub(crate) fn in_order<T: Send, E>(
    range: Range<usize>,
    workers: usize,
    stop: &AtomicBool,
    make: &(dyn Fn(usize) -> T + Sync),
    mut each: impl FnMut(usize, T) -> Result<(), E>,
) -> Result<(), E> {
    let workers = workers.clamp(1, range.len().max(1));
    let first = range.start;
    let line = Line {
        make,
        gate: Gate { end: Mutex::new(first + 2 * workers), moved: Condvar::new() },
        next: Mutex::new(first),
        given_up: AtomicBool::new(false),
        range,
        stop,
    };
    std::thread::scope(|scope| {
        let (sender, receiver) = sync_channel(workers);
        for _worker in 0..workers {
            let (sender, line) = (sender.clone(), &line);
            scope.spawn(move || work(line, &sender));
        }
        drop(sender);
        let done = sorted(&receiver, first, |number, made| {
            let done = each(number, made);
            line.gate.open_to(number + 1 + 2 * workers);
            done
        });
        line.given_up.store(true, Ordering::Relaxed);
        // whoever waits at the gate or at the channel must see it
        drop(receiver);
        line.gate.open_to(usize::MAX);
        done
    })
}

fn work<T>(line: &Line<'_, T>, sender: &SyncSender<(usize, T)>) {
    loop {
        let number = {
            let mut next = line.next.lock().unwrap_or_else(PoisonError::into_inner);
            *next += 1;
            *next - 1
        };
        let ends = number >= line.range.end;
        if ends || !line.gate.wait_for(number, line.stop) || line.given_up.load(Ordering::Relaxed) {
            return;
        }
        if sender.send((number, (line.make)(number))).is_err() {
            return;
        }
    }
}

fn sorted<T, E>(
    receiver: &Receiver<(usize, T)>,
    first: usize,
    mut each: impl FnMut(usize, T) -> Result<(), E>,
) -> Result<(), E> {
    let mut waiting = BTreeMap::new();
    let mut wanted = first;
    for (number, made) in receiver {
        waiting.insert(number, made);
        while let Some(made) = waiting.remove(&wanted) {
            each(wanted, made)?;
            wanted += 1;
        }
    }
    Ok(())
}
