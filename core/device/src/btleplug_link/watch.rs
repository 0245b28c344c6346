//! Two tasks that watch an adapter: one drains its events at once, one looks up what was seen.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use btleplug::api::{Central as _, CentralEvent, CentralState, Peripheral as _};
use btleplug::platform::{Adapter, Peripheral, PeripheralId as PlatformId};
use futures::StreamExt as _;
use tokio::sync::mpsc;
use tokio::task::AbortHandle;

use crate::profile::SERVICE;
use crate::queue::EventQueue;
use crate::session::{PeripheralId, Sighting};

/// Peripherals that may wait to be looked up; those that find no room advertise again.
const LOOK_UPS: usize = 64;

/// Starts both.
pub(super) async fn start(
    adapter: &Adapter,
    queue: &EventQueue,
    searching: &Arc<AtomicBool>,
) -> btleplug::Result<[AbortHandle; 2]> {
    let mut events = adapter.events().await?;
    let (tx, mut rx) = mpsc::channel::<PlatformId>(LOOK_UPS);
    let (to, active) = (queue.clone(), searching.clone());
    let drain = tokio::spawn(async move {
        while let Some(event) = events.next().await {
            match event {
                CentralEvent::DeviceDiscovered(id)
                | CentralEvent::DeviceUpdated(id)
                | CentralEvent::ServicesAdvertisement { id, .. }
                | CentralEvent::RssiUpdate { id, .. }
                    if active.load(Ordering::SeqCst) =>
                {
                    // No room is no loss: it advertises again.
                    let _ = tx.try_send(id);
                }
                CentralEvent::DeviceDisconnected(id) => to.push_link_lost(PeripheralId(id.to_string())),
                CentralEvent::StateUpdate(CentralState::PoweredOff) => to.push_radio_off(),
                _ => {}
            }
        }
        // The platform's service is gone; whatever was connected is not any more.
        to.push_radio_off();
    });
    let (adapter, to) = (adapter.clone(), queue.clone());
    let look_up = tokio::spawn(async move {
        while let Some(id) = rx.recv().await {
            if let Ok(peripheral) = adapter.peripheral(&id).await
                && let Some(sighting) = sighting(&peripheral).await
            {
                to.push_sighting(sighting);
            }
        }
    });
    Ok([drain.abort_handle(), look_up.abort_handle()])
}

/// What a peripheral advertises, if it is our service. The radio's filter is not trusted: other programs'
/// searches bring other peripherals.
pub(super) async fn sighting(peripheral: &Peripheral) -> Option<Sighting> {
    let properties = peripheral.properties().await.ok()??;
    properties.services.contains(&SERVICE).then(|| Sighting {
        id: PeripheralId(peripheral.id().to_string()),
        name: properties.local_name.map(|n| n.chars().filter(|c| !c.is_control()).take(64).collect()),
        rssi_dbm: properties.rssi,
    })
}
