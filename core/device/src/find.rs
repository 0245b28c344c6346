//! Which controllers are in reach.

use std::collections::BTreeMap;
use std::time::Duration;

use tokio::time::{Instant, timeout_at};

use crate::link::{Link, LinkError};
use crate::queue::LinkEvent;
use crate::session::{PeripheralId, Sighting};

/// Most controllers in one list.
pub const MOST: usize = 256;

/// Distance, as far as signal strength tells it (bounds: common practice, no single source).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Nearness {
    /// Within a few steps: -60 dBm or more.
    Near,
    /// In reach: -60 to -80 dBm.
    InReach,
    /// At the edge of reach: under -80 dBm.
    Far,
    /// The radio did not say.
    Unknown,
}

impl Nearness {
    /// From a signal strength, dBm.
    pub const fn from_rssi(rssi_dbm: Option<i16>) -> Nearness {
        match rssi_dbm {
            None => Nearness::Unknown,
            Some(-60..) => Nearness::Near,
            Some(-80..) => Nearness::InReach,
            Some(_) => Nearness::Far,
        }
    }

    /// Code for machine-readable lists.
    pub const fn code(self) -> &'static str {
        match self {
            Nearness::Near => "near",
            Nearness::InReach => "in_reach",
            Nearness::Far => "far",
            Nearness::Unknown => "unknown",
        }
    }
}

/// One controller that was seen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// How to connect; no identity.
    pub id: PeripheralId,
    /// Name it advertises.
    pub name: Option<String>,
    /// Strongest signal, dBm.
    pub rssi_dbm: Option<i16>,
}

impl Found {
    /// How near it is.
    pub const fn nearness(&self) -> Nearness {
        Nearness::from_rssi(self.rssi_dbm)
    }
}

/// Looks for controllers for a time; nearest first.
///
/// # Errors
/// [`LinkError`] when the radio cannot search or is switched off meanwhile. Nothing seen is an empty list.
pub async fn find<L: Link>(link: &L, duration: Duration) -> Result<Vec<Found>, LinkError> {
    let until = Instant::now() + duration;
    link.queue().forget_sightings();
    link.start_search().await?;
    let mut seen = BTreeMap::new();
    let mut ended = Ok(());
    while let Ok(event) = timeout_at(until, link.queue().next()).await {
        match event {
            LinkEvent::Seen(sighting) => merge(&mut seen, sighting),
            LinkEvent::RadioOff => {
                ended = Err(LinkError::BluetoothOff);
                break;
            }
            LinkEvent::Notification { .. } | LinkEvent::Overflow(_) | LinkEvent::LinkLost(_) => {}
        }
    }
    let stopped = link.stop_search().await;
    ended?;
    if let Err(error) = stopped {
        tracing::debug!(%error, "could not stop the search");
    }
    let mut found: Vec<Found> = seen.into_values().collect();
    found.sort_by_key(|f| (f.rssi_dbm.is_none(), -i32::from(f.rssi_dbm.unwrap_or_default())));
    Ok(found)
}

fn merge(seen: &mut BTreeMap<PeripheralId, Found>, sighting: Sighting) {
    if seen.len() >= MOST && !seen.contains_key(&sighting.id) {
        return;
    }
    let id = sighting.id;
    let found = seen.entry(id.clone()).or_insert(Found { id, name: None, rssi_dbm: None });
    found.name = sighting.name.or(found.name.take());
    found.rssi_dbm = found.rssi_dbm.max(sighting.rssi_dbm);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signal_strength_in_words() {
        let word = |rssi| Nearness::from_rssi(rssi).code();
        assert_eq!(word(Some(-40)), "near");
        assert_eq!(word(Some(-60)), "near");
        assert_eq!(word(Some(-61)), "in_reach");
        assert_eq!(word(Some(-80)), "in_reach");
        assert_eq!(word(Some(-81)), "far");
        assert_eq!(word(None), "unknown");
    }
}
