//! How often strangers may knock, by the address they come from.

use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use tokio::sync::{OwnedSemaphorePermit, Semaphore};

use super::night::locked;

/// The stretch over which knocks are counted.
const STRETCH: Duration = Duration::from_mins(10);
/// Pictures from one address in that stretch: a household, or a bus with one telephone's network. Common practice, no source.
const MOST_PICTURES: u32 = 60;
/// Wrong words from one address in that stretch. A right word is let in all the same: nobody is locked out by a neighbour.
const MOST_WRONG: u32 = 20;
/// Addresses counted at once; beyond that the oldest are forgotten.
const MOST_ADDRESSES: usize = 10_000;
/// Pictures on their way at once: each may take 60 MB of memory.
const AT_ONCE: usize = 4;
/// Those of one address: whoever sends slowly leaves a place to others.
const AT_ONCE_FROM_ONE: usize = 3;

/// What an address did lately.
struct Knocks {
    since: Instant,
    pictures: u32,
    wrong: u32,
}

/// The door keeper of links.
pub(super) struct Gate {
    knocks: Mutex<HashMap<IpAddr, Knocks>>,
    places: Arc<Semaphore>,
    /// Addresses of the pictures that are on their way.
    sending: Arc<Mutex<Vec<IpAddr>>>,
}

/// A place for a picture on its way, given back when dropped.
pub(super) struct Place {
    _permit: OwnedSemaphorePermit,
    from: IpAddr,
    sending: Arc<Mutex<Vec<IpAddr>>>,
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut sending = locked(&self.sending);
        if let Some(index) = sending.iter().position(|from| *from == self.from) {
            sending.swap_remove(index);
        }
    }
}

impl Gate {
    pub(super) fn new() -> Self {
        Self { knocks: Mutex::default(), places: Arc::new(Semaphore::new(AT_ONCE)), sending: Arc::default() }
    }

    /// Counts a picture; false where there were too many.
    pub(super) fn admits(&self, from: IpAddr) -> bool {
        self.count(from, |knocks| {
            knocks.pictures += 1;
            knocks.pictures <= MOST_PICTURES
        })
    }

    /// Counts a wrong word; false where there were too many.
    pub(super) fn bears_wrong(&self, from: IpAddr) -> bool {
        self.count(from, |knocks| {
            knocks.wrong += 1;
            knocks.wrong <= MOST_WRONG
        })
    }

    /// A place for a picture on its way; `None` where all are taken, or most of them by this address.
    pub(super) fn place(&self, from: IpAddr) -> Option<Place> {
        let mut sending = locked(&self.sending);
        if sending.iter().filter(|one| **one == from).count() >= AT_ONCE_FROM_ONE {
            return None;
        }
        let permit = Arc::clone(&self.places).try_acquire_owned().ok()?;
        sending.push(from);
        drop(sending);
        Some(Place { _permit: permit, from, sending: Arc::clone(&self.sending) })
    }

    fn count(&self, from: IpAddr, judge: impl FnOnce(&mut Knocks) -> bool) -> bool {
        let now = Instant::now();
        let mut all = locked(&self.knocks);
        if all.len() >= MOST_ADDRESSES {
            all.retain(|_, knocks| now.duration_since(knocks.since) < STRETCH);
            if all.len() >= MOST_ADDRESSES {
                all.clear();
            }
        }
        let knocks = all.entry(from).or_insert(Knocks { since: now, pictures: 0, wrong: 0 });
        if now.duration_since(knocks.since) >= STRETCH {
            *knocks = Knocks { since: now, pictures: 0, wrong: 0 };
        }
        judge(knocks)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_that_knocks_too_often_is_told_so_and_others_are_not() {
        let gate = Gate::new();
        let (one, other) = (IpAddr::from([192, 0, 2, 1]), IpAddr::from([192, 0, 2, 2]));
        let admitted = (0..100).filter(|_| gate.admits(one)).count();
        assert_eq!(admitted, MOST_PICTURES as usize);
        assert!(gate.admits(other));
        assert_eq!((0..100).filter(|_| gate.bears_wrong(one)).count(), MOST_WRONG as usize);
    }

    #[test]
    fn there_are_so_many_places_and_no_more() {
        let gate = Gate::new();
        let (one, other) = (IpAddr::from([192, 0, 2, 1]), IpAddr::from([192, 0, 2, 2]));
        let mut places: Vec<_> = (0..AT_ONCE).filter_map(|_| gate.place(one)).collect();
        assert_eq!(places.len(), AT_ONCE_FROM_ONE, "one address does not shut the door");
        places.extend(gate.place(other));
        assert_eq!(places.len(), AT_ONCE);
        assert!(gate.place(other).is_none());
        drop(places);
        assert!(gate.place(one).is_some());
    }
}
