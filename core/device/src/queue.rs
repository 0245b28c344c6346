//! The bounded queue between a link's own tasks and the driver.
//!
//! Notifications beyond the bound are dropped and counted, sightings beyond theirs are dropped (they come
//! again), and what must not be lost (the lost link, the radio switched off) always finds room. Order is
//! kept.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use tokio::sync::Notify;
use tokio::time::Instant;

use crate::profile::MAX_VALUE;
use crate::session::{PeripheralId, Sighting};

/// Notifications that may wait: more than half a minute of a controller that sends four parts a second
/// ten times over.
pub const NOTIFICATIONS: usize = 1024;
/// Sightings that may wait.
pub const SIGHTINGS: usize = 128;
/// Lost links and the like that may wait; the session needs only the last of them.
const OTHERS: usize = 32;

/// What a link reports by itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LinkEvent {
    /// A peripheral advertised our service.
    Seen(Sighting),
    /// A notification of LIVE.
    Notification {
        /// When it was taken from the radio.
        at: Instant,
        /// Its bytes; of one that is too long, just enough to see that it is.
        bytes: Vec<u8>,
    },
    /// This many notifications were dropped since the last such event.
    Overflow(u64),
    /// The connection to this peripheral is gone.
    LinkLost(PeripheralId),
    /// The radio was switched off.
    RadioOff,
}

#[derive(Debug, Default)]
struct Waiting {
    events: VecDeque<LinkEvent>,
    notifications: usize,
    sightings: usize,
    lost: u64,
}

#[derive(Debug, Default)]
struct Shared {
    waiting: Mutex<Waiting>,
    filled: Notify,
    emptied: Notify,
}

/// One end and the other: clones share the queue.
#[derive(Debug, Clone, Default)]
pub struct EventQueue {
    shared: Arc<Shared>,
}

impl EventQueue {
    /// An empty queue.
    pub fn new() -> EventQueue {
        EventQueue::default()
    }

    /// Adds a notification that has just come; false when there was no room.
    pub fn push_notification(&self, bytes: &[u8]) -> bool {
        let mut waiting = self.lock();
        if waiting.notifications >= NOTIFICATIONS {
            waiting.lost += 1;
            return false;
        }
        waiting.notifications += 1;
        let bytes = bytes[..bytes.len().min(MAX_VALUE + 1)].to_vec();
        waiting.events.push_back(LinkEvent::Notification { at: Instant::now(), bytes });
        drop(waiting);
        self.shared.filled.notify_one();
        true
    }

    /// Waits until half of the room for notifications is free: for sources that can wait, as a simulated
    /// controller can and a radio cannot.
    pub async fn room(&self) {
        loop {
            let emptied = self.shared.emptied.notified();
            if self.lock().notifications < NOTIFICATIONS / 2 {
                return;
            }
            emptied.await;
        }
    }

    /// Adds a sighting.
    pub fn push_sighting(&self, sighting: Sighting) {
        let mut waiting = self.lock();
        if waiting.sightings < SIGHTINGS {
            waiting.sightings += 1;
            waiting.events.push_back(LinkEvent::Seen(sighting));
            drop(waiting);
            self.shared.filled.notify_one();
        }
    }

    /// The connection is gone.
    pub fn push_link_lost(&self, id: PeripheralId) {
        self.push_other(LinkEvent::LinkLost(id));
    }

    /// The radio was switched off.
    pub fn push_radio_off(&self) {
        self.push_other(LinkEvent::RadioOff);
    }

    /// Drops sightings that still wait, as at the start of a search.
    pub fn forget_sightings(&self) {
        let mut waiting = self.lock();
        waiting.events.retain(|e| !matches!(e, LinkEvent::Seen(_)));
        waiting.sightings = 0;
    }

    /// The next event; waits for one. Dropping the future loses nothing.
    pub async fn next(&self) -> LinkEvent {
        loop {
            let filled = self.shared.filled.notified();
            if let Some(event) = self.pop() {
                return event;
            }
            filled.await;
        }
    }

    fn pop(&self) -> Option<LinkEvent> {
        let mut waiting = self.lock();
        if waiting.lost > 0 {
            return Some(LinkEvent::Overflow(std::mem::take(&mut waiting.lost)));
        }
        let event = waiting.events.pop_front()?;
        match event {
            LinkEvent::Notification { .. } => {
                waiting.notifications -= 1;
                if waiting.notifications < NOTIFICATIONS / 2 {
                    self.shared.emptied.notify_waiters();
                }
            }
            LinkEvent::Seen(_) => waiting.sightings -= 1,
            _ => {}
        }
        Some(event)
    }

    fn push_other(&self, event: LinkEvent) {
        let mut waiting = self.lock();
        let is_other = |e: &LinkEvent| matches!(e, LinkEvent::LinkLost(_) | LinkEvent::RadioOff);
        if waiting.events.iter().filter(|e| is_other(e)).count() >= OTHERS
            && let Some(oldest) = waiting.events.iter().position(is_other)
        {
            waiting.events.remove(oldest);
        }
        waiting.events.push_back(event);
        drop(waiting);
        self.shared.filled.notify_one();
    }

    fn lock(&self) -> MutexGuard<'_, Waiting> {
        // Nothing between lock and unlock can leave the queue half changed.
        self.shared.waiting.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn overflow_is_counted_and_the_lost_link_still_comes() {
        let queue = EventQueue::new();
        for n in 0..NOTIFICATIONS + 7 {
            assert_eq!(queue.push_notification(&[1, 2]), n < NOTIFICATIONS);
        }
        queue.push_link_lost(PeripheralId("a".into()));
        assert_eq!(queue.next().await, LinkEvent::Overflow(7));
        for _ in 0..NOTIFICATIONS {
            assert!(matches!(queue.next().await, LinkEvent::Notification { .. }));
        }
        assert_eq!(queue.next().await, LinkEvent::LinkLost(PeripheralId("a".into())));
    }

    #[tokio::test]
    async fn a_flood_of_lost_links_and_sightings_stays_bounded() {
        let queue = EventQueue::new();
        for n in 0..10_000 {
            queue.push_link_lost(PeripheralId(n.to_string()));
            queue.push_sighting(Sighting { id: PeripheralId(n.to_string()), name: None, rssi_dbm: None });
        }
        assert_eq!(queue.lock().events.len(), OTHERS + SIGHTINGS);
        assert_eq!(queue.lock().events.back(), Some(&LinkEvent::LinkLost(PeripheralId("9999".into()))));
    }

    #[tokio::test]
    async fn a_long_value_is_cut_but_stays_too_long() {
        let queue = EventQueue::new();
        queue.push_notification(&[0; 5000]);
        let LinkEvent::Notification { bytes, .. } = queue.next().await else { panic!() };
        assert_eq!(bytes.len(), MAX_VALUE + 1);
    }
}
