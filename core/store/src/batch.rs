//! A batch: what is written together and acknowledged together.

use rusqlite::Transaction;

use crate::error::Result;
use crate::rows::frames::{self, RawFrame};
use crate::rows::gaps::{self, Gap};
use crate::rows::readings::{self, Origin, Reading};
use crate::rows::{self, SessionId, SystemId, sessions};

/// What is written in one transaction.
#[derive(Debug, Clone, PartialEq)]
pub enum Batch {
    /// What a session received since the last batch.
    Live {
        /// The session, which knows its system and source.
        session: SessionId,
        /// The bytes.
        frames: Vec<RawFrame>,
        /// What they say.
        readings: Vec<Reading>,
        /// What was missed.
        gaps: Vec<Gap>,
    },
    /// Rows that came another way: a file, the controller's display typed in.
    Import {
        /// Whose rows.
        system: SystemId,
        /// Who says it, e.g. `file`.
        source: String,
        /// The rows.
        readings: Vec<Reading>,
    },
}

impl Batch {
    /// How many readings it holds.
    pub fn readings(&self) -> usize {
        match self {
            Batch::Live { readings, .. } | Batch::Import { readings, .. } => readings.len(),
        }
    }
}

/// What a committed batch did.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Committed {
    /// Readings that are new.
    pub readings: usize,
    /// Readings that were there already, told by the same source at the same instant.
    pub known: usize,
    /// Frames written.
    pub frames: usize,
    /// Gaps written.
    pub gaps: usize,
}

pub(crate) fn write(tx: &Transaction<'_>, batch: &Batch) -> Result<Committed> {
    match batch {
        Batch::Live { session, frames: raw, readings, gaps: missed } => {
            let (system, source) = sessions::belongs_to(tx, *session)?;
            frames::insert(tx, *session, raw)?;
            gaps::insert(tx, *session, missed)?;
            let origin = Origin { system, source, session: Some(*session) };
            let count = readings::insert(tx, origin, readings)?;
            Ok(Committed { readings: count.added, known: count.known, frames: raw.len(), gaps: missed.len() })
        }
        Batch::Import { system, source, readings } => {
            rows::require_system(tx, *system)?;
            let source = rows::source_id(tx, source)?;
            let count = readings::insert(tx, Origin { system: *system, source, session: None }, readings)?;
            Ok(Committed { readings: count.added, known: count.known, frames: 0, gaps: 0 })
        }
    }
}
