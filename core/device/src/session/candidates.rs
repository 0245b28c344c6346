//! The peripherals seen in a search, and which of them to try.

use std::fmt;

/// The platform's handle of a peripheral: an address on Linux and Android, a random number on iOS. It is a
/// way to connect, never an identity.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct PeripheralId(pub String);

impl fmt::Display for PeripheralId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// One advertisement of our service.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sighting {
    /// How to connect.
    pub id: PeripheralId,
    /// Name it advertises; may be anything.
    pub name: Option<String>,
    /// Signal strength, dBm.
    pub rssi_dbm: Option<i16>,
}

#[derive(Debug, Clone)]
struct Candidate {
    id: PeripheralId,
    rssi_dbm: Option<i16>,
    seen: bool,
    failures: u32,
    stranger: bool,
}

/// What is known of the peripherals of this session, bounded.
#[derive(Debug, Clone, Default)]
pub struct Candidates {
    all: Vec<Candidate>,
}

impl Candidates {
    /// Most peripherals that are remembered.
    pub const MOST: usize = 64;

    /// Takes a sighting.
    pub fn see(&mut self, sighting: &Sighting) {
        if let Some(candidate) = self.entry(&sighting.id) {
            candidate.seen = true;
            candidate.rssi_dbm = sighting.rssi_dbm.or(candidate.rssi_dbm);
        }
    }

    /// A new search: nothing is in reach until it is seen again.
    pub fn begin_search(&mut self) {
        self.all.iter_mut().for_each(|c| c.seen = false);
    }

    /// Connecting or reading failed.
    pub fn failed(&mut self, id: &PeripheralId) {
        if let Some(candidate) = self.entry(id) {
            candidate.failures = candidate.failures.saturating_add(1);
        }
    }

    /// It is the one: earlier failures are forgotten.
    pub fn succeeded(&mut self, id: &PeripheralId) {
        if let Some(candidate) = self.entry(id) {
            candidate.failures = 0;
        }
    }

    /// It has another serial than the one looked for: not to be tried again in this session.
    pub fn is_stranger(&mut self, id: &PeripheralId) {
        if let Some(candidate) = self.entry(id) {
            candidate.stranger = true;
        }
    }

    /// One in reach that never failed, nearest first.
    pub fn fresh(&self) -> Option<PeripheralId> {
        self.best(|c| c.failures == 0)
    }

    /// The one in reach that failed least, nearest first.
    pub fn any(&self) -> Option<PeripheralId> {
        self.best(|_| true)
    }

    /// How many in reach have another serial.
    pub fn strangers(&self) -> usize {
        self.all.iter().filter(|c| c.seen && c.stranger).count()
    }

    /// How many are remembered.
    pub fn len(&self) -> usize {
        self.all.len()
    }

    /// True when none is remembered.
    pub fn is_empty(&self) -> bool {
        self.all.is_empty()
    }

    fn best(&self, keep: impl Fn(&Candidate) -> bool) -> Option<PeripheralId> {
        self.all
            .iter()
            .filter(|c| c.seen && !c.stranger && keep(c))
            .min_by_key(|c| (c.failures, -i32::from(c.rssi_dbm.unwrap_or(i16::MIN))))
            .map(|c| c.id.clone())
    }

    /// The entry of a peripheral, made if there is room: one that is out of sight goes first, strangers
    /// out of sight last of these; with all in sight the newcomer is left out.
    fn entry(&mut self, id: &PeripheralId) -> Option<&mut Candidate> {
        let at = self.all.iter().position(|c| c.id == *id);
        if let Some(at) = at {
            return self.all.get_mut(at);
        }
        if self.all.len() >= Self::MOST {
            let gone = self.all.iter().position(|c| !c.seen && !c.stranger);
            let gone = gone.or_else(|| self.all.iter().position(|c| !c.seen))?;
            self.all.swap_remove(gone);
        }
        self.all.push(Candidate {
            id: id.clone(),
            rssi_dbm: None,
            seen: false,
            failures: 0,
            stranger: false,
        });
        self.all.last_mut()
    }
}
