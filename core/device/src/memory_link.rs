//! A link to a controller in the same process: bytes in, no radio.
//!
//! [`pair`] gives the link for a session's driver and a [`MemoryController`] for whatever makes frames: the
//! simulated controller, the demo, a test. The controller's end can also misbehave as a radio does.

use std::future::pending;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use tokio::sync::watch;

use crate::frame::LiveFrame;
use crate::link::{Link, LinkError};
use crate::profile::{MIN_MTU, Readable};
use crate::queue::EventQueue;
use crate::session::{Card, PeripheralId, RawCard, Sighting};

/// How often it advertises while being looked for.
const ADVERTISE_EVERY: Duration = Duration::from_millis(50);

#[derive(Debug)]
struct Peer {
    id: PeripheralId,
    card: RawCard,
    mtu: usize,
    refuse_connects: u32,
    mute: bool,
    hidden: bool,
    /// Number of the search that is on.
    search: Option<u64>,
    searches: u64,
}

#[derive(Debug)]
struct Shared {
    peer: Mutex<Peer>,
    queue: EventQueue,
    connected: watch::Sender<bool>,
    subscribed: watch::Sender<bool>,
}

impl Shared {
    fn peer(&self) -> MutexGuard<'_, Peer> {
        self.peer.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The session's end.
#[derive(Debug)]
pub struct MemoryLink {
    shared: Arc<Shared>,
}

/// The controller's end. Clones are the same controller.
#[derive(Debug, Clone)]
pub struct MemoryController {
    shared: Arc<Shared>,
}

/// A link and the controller at its other end, which answers with this card.
pub fn pair(card: &Card) -> (MemoryLink, MemoryController) {
    pair_raw(card.encode())
}

/// As [`pair`], with a card in bytes, which need not make sense.
pub fn pair_raw(card: RawCard) -> (MemoryLink, MemoryController) {
    let shared = Arc::new(Shared {
        peer: Mutex::new(Peer {
            id: PeripheralId("in-process".into()),
            card,
            mtu: MIN_MTU,
            refuse_connects: 0,
            mute: false,
            hidden: false,
            search: None,
            searches: 0,
        }),
        queue: EventQueue::new(),
        connected: watch::Sender::new(false),
        subscribed: watch::Sender::new(false),
    });
    (MemoryLink { shared: shared.clone() }, MemoryController { shared })
}

impl MemoryController {
    /// Sends a frame in parts, waiting while the session has no room; false when nobody has subscribed.
    pub async fn send_frame(&self, frame: &LiveFrame) -> bool {
        let mtu = self.shared.peer().mtu;
        for part in frame.to_parts(mtu) {
            if !self.send(&part).await {
                return false;
            }
        }
        true
    }

    /// Sends one notification, waiting while the session has no room; false when nobody has subscribed.
    pub async fn send(&self, notification: &[u8]) -> bool {
        self.shared.queue.room().await;
        self.notify(notification)
    }

    /// Sends one notification at once, as a radio does; false when nobody has subscribed or there is no
    /// room, which is counted.
    pub fn notify(&self, notification: &[u8]) -> bool {
        *self.shared.subscribed.borrow() && self.shared.queue.push_notification(notification)
    }

    /// Waits until a session has subscribed.
    pub async fn subscribed(&self) {
        // The sender lives as long as this controller, so waiting cannot fail.
        let _ = self.shared.subscribed.subscribe().wait_for(|yes| *yes).await;
    }

    /// True while a session is subscribed.
    pub fn is_subscribed(&self) -> bool {
        *self.shared.subscribed.borrow()
    }

    /// Breaks the connection.
    pub fn lose_link(&self) {
        self.shared.subscribed.send_replace(false);
        if self.shared.connected.send_replace(false) {
            self.shared.queue.push_link_lost(self.shared.peer().id.clone());
        }
    }

    /// Changes the ATT MTU (bytes) that frames are cut for.
    pub fn set_mtu(&self, mtu: usize) {
        self.shared.peer().mtu = mtu;
    }

    /// Answers with another card from now on.
    pub fn set_card(&self, card: RawCard) {
        self.shared.peer().card = card;
    }

    /// Refuses the next `count` connections.
    pub fn refuse_connects(&self, count: u32) {
        self.shared.peer().refuse_connects = count;
    }

    /// Never answers a read while true.
    pub fn set_mute(&self, mute: bool) {
        self.shared.peer().mute = mute;
    }

    /// Does not advertise while true.
    pub fn set_hidden(&self, hidden: bool) {
        self.shared.peer().hidden = hidden;
    }
}

impl MemoryLink {
    fn connected(&self) -> Result<(), LinkError> {
        if *self.shared.connected.borrow() { Ok(()) } else { Err(LinkError::LinkLost) }
    }
}

impl Link for MemoryLink {
    async fn start_search(&self) -> Result<(), LinkError> {
        let mine = {
            let mut peer = self.shared.peer();
            peer.searches += 1;
            peer.search = Some(peer.searches);
            peer.search
        };
        let shared = Arc::downgrade(&self.shared);
        tokio::spawn(async move {
            while let Some(shared) = shared.upgrade().filter(|s| s.peer().search == mine) {
                let seen = {
                    let peer = shared.peer();
                    let sighting =
                        Sighting { id: peer.id.clone(), name: Some("in process".into()), rssi_dbm: None };
                    (!peer.hidden).then_some(sighting)
                };
                if let Some(sighting) = seen {
                    shared.queue.push_sighting(sighting);
                }
                drop(shared);
                tokio::time::sleep(ADVERTISE_EVERY).await;
            }
        });
        Ok(())
    }

    async fn stop_search(&self) -> Result<(), LinkError> {
        self.shared.peer().search = None;
        Ok(())
    }

    async fn connect(&self, id: &PeripheralId) -> Result<(), LinkError> {
        let mut peer = self.shared.peer();
        if peer.id != *id || peer.hidden {
            return Err(LinkError::NotInReach);
        }
        if peer.refuse_connects > 0 {
            peer.refuse_connects -= 1;
            return Err(LinkError::Failed("connection refused".into()));
        }
        self.shared.connected.send_replace(true);
        Ok(())
    }

    async fn discover(&self) -> Result<(), LinkError> {
        self.connected()
    }

    async fn read(&self, which: Readable) -> Result<Option<Vec<u8>>, LinkError> {
        self.connected()?;
        let (mute, value) = {
            let peer = self.shared.peer();
            (peer.mute, peer.card.get(which).map(<[u8]>::to_vec))
        };
        if mute { pending().await } else { Ok(value) }
    }

    async fn subscribe(&self) -> Result<(), LinkError> {
        self.connected()?;
        self.shared.subscribed.send_replace(true);
        Ok(())
    }

    async fn disconnect(&self) -> Result<(), LinkError> {
        self.shared.subscribed.send_replace(false);
        self.shared.connected.send_replace(false);
        Ok(())
    }

    fn queue(&self) -> &EventQueue {
        &self.shared.queue
    }
}
