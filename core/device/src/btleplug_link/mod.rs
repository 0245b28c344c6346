//! A real radio, through btleplug: BlueZ on Linux, CoreBluetooth on Apple's systems, the system's own
//! stack on Android and Windows.
//!
//! Its event and notification streams pass short buffers whose overflow is dropped silently on phones, so
//! each is drained at once by a task that does nothing else; what takes time happens in a second task.

mod error;
mod watch;

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use btleplug::api::{Central as _, CharPropFlags, Characteristic, Manager as _, Peripheral as _, ScanFilter};
use btleplug::platform::{Adapter, Manager, Peripheral};
use futures::StreamExt as _;
use tokio::task::AbortHandle;
use tokio::time::timeout;
use uuid::Uuid;

use self::error::{is_already_notifying, link_error};
use crate::link::{Link, LinkError, Step};
use crate::profile::{LIVE, Readable, SERVICE};
use crate::queue::EventQueue;
use crate::session::PeripheralId;

/// How long the platform's Bluetooth service may take to answer at first.
const OPEN: Duration = Duration::from_secs(15);

/// This machine's Bluetooth radio.
#[derive(Debug)]
pub struct BtleplugLink {
    adapter: Adapter,
    queue: EventQueue,
    searching: Arc<AtomicBool>,
    current: Mutex<Option<Peripheral>>,
    draining: Mutex<Option<AbortHandle>>,
    watching: [AbortHandle; 2],
}

impl BtleplugLink {
    /// Opens the first adapter (by name). On Android `btleplug::platform::init` must have been called.
    ///
    /// # Errors
    /// [`LinkError::NoService`], [`LinkError::NoAdapter`], [`LinkError::PermissionDenied`] or what else
    /// the platform says.
    pub async fn open() -> Result<BtleplugLink, LinkError> {
        timeout(OPEN, BtleplugLink::open_when_ready()).await.unwrap_or(Err(LinkError::NoService))
    }

    async fn open_when_ready() -> Result<BtleplugLink, LinkError> {
        // Nothing but the platform's service can be late here.
        let failed = |e| match link_error(&e, Step::Connect) {
            LinkError::TimedOut(_) => LinkError::NoService,
            other => other,
        };
        let manager = Manager::new().await.map_err(failed)?;
        let mut named = Vec::new();
        for adapter in manager.adapters().await.map_err(failed)? {
            let name = adapter.adapter_info().await.map_err(failed)?;
            named.push((name, adapter));
        }
        // The platform gives them in any order.
        let (name, adapter) = named.into_iter().min_by(|a, b| a.0.cmp(&b.0)).ok_or(LinkError::NoAdapter)?;
        tracing::debug!(%name, "Bluetooth adapter");
        let (queue, searching) = (EventQueue::new(), Arc::new(AtomicBool::new(false)));
        let watching = watch::start(&adapter, &queue, &searching).await.map_err(failed)?;
        Ok(BtleplugLink {
            adapter,
            queue,
            searching,
            current: Mutex::new(None),
            draining: Mutex::new(None),
            watching,
        })
    }

    fn current(&self) -> Result<Peripheral, LinkError> {
        let current = self.current.lock().unwrap_or_else(PoisonError::into_inner);
        current.clone().ok_or(LinkError::LinkLost)
    }

    fn drain(&self, task: Option<AbortHandle>) {
        let before =
            std::mem::replace(&mut *self.draining.lock().unwrap_or_else(PoisonError::into_inner), task);
        if let Some(before) = before {
            before.abort();
        }
    }

    /// Peripherals that do not advertise because they are connected already, or that BlueZ has just seen.
    async fn push_known(&self) {
        let Ok(known) = self.adapter.peripherals().await else { return };
        for peripheral in known {
            let in_sight = cfg!(target_os = "linux");
            if let Some(sighting) = watch::sighting(&peripheral).await
                && (peripheral.is_connected().await.unwrap_or(false)
                    || (in_sight && sighting.rssi_dbm.is_some()))
            {
                self.queue.push_sighting(sighting);
            }
        }
    }
}

impl Drop for BtleplugLink {
    fn drop(&mut self) {
        self.drain(None);
        self.watching.iter().for_each(AbortHandle::abort);
    }
}

fn characteristic(peripheral: &Peripheral, uuid: Uuid) -> Option<Characteristic> {
    peripheral.characteristics().into_iter().find(|c| c.uuid == uuid)
}

impl Link for BtleplugLink {
    async fn start_search(&self) -> Result<(), LinkError> {
        self.searching.store(true, Ordering::SeqCst);
        let filter = ScanFilter { services: vec![SERVICE] };
        self.adapter.start_scan(filter).await.map_err(|e| link_error(&e, Step::Connect))?;
        self.push_known().await;
        Ok(())
    }

    async fn stop_search(&self) -> Result<(), LinkError> {
        if !self.searching.swap(false, Ordering::SeqCst) {
            return Ok(());
        }
        self.adapter.stop_scan().await.map_err(|e| link_error(&e, Step::Connect))
    }

    async fn connect(&self, id: &PeripheralId) -> Result<(), LinkError> {
        let failed = |e| link_error(&e, Step::Connect);
        let known = self.adapter.peripherals().await.map_err(failed)?;
        let peripheral =
            known.into_iter().find(|p| p.id().to_string() == id.0).ok_or(LinkError::NotInReach)?;
        *self.current.lock().unwrap_or_else(PoisonError::into_inner) = Some(peripheral.clone());
        peripheral.connect().await.map_err(failed)
    }

    async fn discover(&self) -> Result<(), LinkError> {
        let peripheral = self.current()?;
        peripheral.discover_services().await.map_err(|e| link_error(&e, Step::Connect))?;
        for which in Readable::ALL.into_iter().filter(|r| r.is_required()) {
            characteristic(&peripheral, which.uuid()).ok_or(LinkError::NotThisProfile(which.code()))?;
        }
        characteristic(&peripheral, LIVE)
            .filter(|c| c.properties.contains(CharPropFlags::NOTIFY))
            .map(|_| ())
            .ok_or(LinkError::NotThisProfile("live"))
    }

    async fn read(&self, which: Readable) -> Result<Option<Vec<u8>>, LinkError> {
        let peripheral = self.current()?;
        let Some(characteristic) = characteristic(&peripheral, which.uuid()) else { return Ok(None) };
        peripheral.read(&characteristic).await.map(Some).map_err(|e| link_error(&e, Step::Read))
    }

    async fn subscribe(&self) -> Result<(), LinkError> {
        let peripheral = self.current()?;
        let failed = |e| link_error(&e, Step::Subscribe);
        let live = characteristic(&peripheral, LIVE).ok_or(LinkError::NotThisProfile("live"))?;
        let mut notifications = peripheral.notifications().await.map_err(failed)?;
        let queue = self.queue.clone();
        let task = tokio::spawn(async move {
            // Reading a value makes BlueZ report it here as well: only LIVE is a notification of ours.
            while let Some(notification) = notifications.next().await {
                if notification.uuid == LIVE {
                    queue.push_notification(&notification.value);
                }
            }
        });
        self.drain(Some(task.abort_handle()));
        match peripheral.subscribe(&live).await {
            // Older BlueZ remembers the subscription of the connection before.
            Err(error) if is_already_notifying(&error) => Ok(()),
            result => result.map_err(failed),
        }
    }

    async fn disconnect(&self) -> Result<(), LinkError> {
        self.drain(None);
        let peripheral = self.current.lock().unwrap_or_else(PoisonError::into_inner).take();
        let Some(peripheral) = peripheral else { return Ok(()) };
        match peripheral.disconnect().await.map_err(|e| link_error(&e, Step::Connect)) {
            Err(LinkError::LinkLost | LinkError::NotInReach) => Ok(()),
            result => result,
        }
    }

    fn queue(&self) -> &EventQueue {
        &self.queue
    }
}
