//! A link that plays a recording: for tests, and for looking again at what a phone saw.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use tokio::task::AbortHandle;
use tokio::time::{Instant, sleep_until};

use crate::capture::{Capture, CaptureEvent};
use crate::link::{Link, LinkError};
use crate::profile::Readable;
use crate::queue::EventQueue;
use crate::session::{PeripheralId, Sighting};

/// How fast to play.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Pace {
    /// As recorded, this many times faster (above 0).
    Times(f64),
    /// As fast as the session takes it.
    AsFastAsTaken,
}

#[derive(Debug)]
struct Shared {
    capture: Capture,
    pace: Pace,
    queue: EventQueue,
    next: Mutex<usize>,
    connected: AtomicBool,
}

/// Plays a recording once. A `lost` line breaks the connection; subscribing again goes on from there; at
/// the end connecting fails with [`LinkError::EndOfRecording`].
#[derive(Debug)]
pub struct ReplayLink {
    shared: Arc<Shared>,
    playing: Mutex<Option<AbortHandle>>,
}

const ID: &str = "recording";

impl ReplayLink {
    /// A link that will play `capture`.
    pub fn new(capture: Capture, pace: Pace) -> ReplayLink {
        let shared = Shared {
            capture,
            pace,
            queue: EventQueue::new(),
            next: Mutex::new(0),
            connected: AtomicBool::new(false),
        };
        ReplayLink { shared: Arc::new(shared), playing: Mutex::new(None) }
    }

    fn connected(&self) -> Result<(), LinkError> {
        if self.shared.connected.load(Ordering::SeqCst) { Ok(()) } else { Err(LinkError::LinkLost) }
    }

    fn play(&self, task: Option<AbortHandle>) {
        let before =
            std::mem::replace(&mut *self.playing.lock().unwrap_or_else(PoisonError::into_inner), task);
        if let Some(before) = before {
            before.abort();
        }
    }
}

impl Drop for ReplayLink {
    fn drop(&mut self) {
        self.play(None);
    }
}

impl Shared {
    fn take_next(&self) -> Option<(u64, CaptureEvent)> {
        let mut next = self.next.lock().unwrap_or_else(PoisonError::into_inner);
        let event = self.capture.events.get(*next).cloned()?;
        *next += 1;
        Some(event)
    }

    fn is_at_end(&self) -> bool {
        *self.next.lock().unwrap_or_else(PoisonError::into_inner) >= self.capture.events.len()
    }

    async fn play(&self) {
        let began = Instant::now();
        let mut first_ms = None;
        while let Some((at_ms, event)) = self.take_next() {
            let since_ms = at_ms - *first_ms.get_or_insert(at_ms);
            match self.pace {
                Pace::Times(times) if times > 0.0 => {
                    sleep_until(began + Duration::from_millis(since_ms).div_f64(times)).await;
                }
                _ => self.queue.room().await,
            }
            match event {
                CaptureEvent::Live(bytes) => {
                    self.queue.push_notification(&bytes);
                }
                CaptureEvent::Lost => break,
            }
        }
        self.connected.store(false, Ordering::SeqCst);
        self.queue.push_link_lost(PeripheralId(ID.into()));
    }
}

impl Link for ReplayLink {
    async fn start_search(&self) -> Result<(), LinkError> {
        let id = PeripheralId(ID.into());
        self.shared.queue.push_sighting(Sighting { id, name: Some(ID.into()), rssi_dbm: None });
        Ok(())
    }

    async fn stop_search(&self) -> Result<(), LinkError> {
        Ok(())
    }

    async fn connect(&self, _id: &PeripheralId) -> Result<(), LinkError> {
        if self.shared.is_at_end() {
            return Err(LinkError::EndOfRecording);
        }
        self.shared.connected.store(true, Ordering::SeqCst);
        Ok(())
    }

    async fn discover(&self) -> Result<(), LinkError> {
        self.connected()
    }

    async fn read(&self, which: Readable) -> Result<Option<Vec<u8>>, LinkError> {
        self.connected()?;
        Ok(self.shared.capture.card.get(which).map(<[u8]>::to_vec))
    }

    async fn subscribe(&self) -> Result<(), LinkError> {
        self.connected()?;
        let shared = self.shared.clone();
        self.play(Some(tokio::spawn(async move { shared.play().await }).abort_handle()));
        Ok(())
    }

    async fn disconnect(&self) -> Result<(), LinkError> {
        self.play(None);
        self.shared.connected.store(false, Ordering::SeqCst);
        Ok(())
    }

    fn queue(&self) -> &EventQueue {
        &self.shared.queue
    }
}
