//! Reading, on a connection of its own that cannot write and never waits for the writer.

use std::path::Path;
use std::time::Duration;

use chrono::{DateTime, FixedOffset};
use rusqlite::Connection;
use wellwright_domain::check::CheckMade;

use crate::error::Result;
use crate::open;
use crate::rows::findings::{self, StoredFinding};
use crate::rows::frames::{self, RawFrame};
use crate::rows::gaps::{self, Gap};
use crate::rows::readings::{self, StoredReading};
use crate::rows::records::{self, RecordVersion};
use crate::rows::sessions::{self, SessionRow};
use crate::rows::systems::{self, SystemRow};
use crate::rows::{SessionId, SystemId, checks};

/// A reader. It sees every batch that was committed before the call.
#[derive(Debug)]
pub struct Reader {
    conn: Connection,
}

impl Reader {
    pub(crate) fn open(path: &Path, patience: Duration) -> Result<Reader> {
        Ok(Reader { conn: open::read_only(path, patience)? })
    }

    /// Every system, by name.
    pub fn systems(&self) -> Result<Vec<SystemRow>> {
        systems::all(&self.conn)
    }

    /// Every version of a system's record, oldest first.
    pub fn record_versions(&self, system: SystemId) -> Result<Vec<RecordVersion>> {
        records::all(&self.conn, system)
    }

    /// The version of a system's record that was saved last.
    pub fn latest_record(&self, system: SystemId) -> Result<Option<RecordVersion>> {
        records::latest(&self.conn, system)
    }

    /// Every session of a system, in the order in which they were started.
    pub fn sessions(&self, system: SystemId) -> Result<Vec<SessionRow>> {
        sessions::all(&self.conn, system)
    }

    /// The frames of a session in the order of arrival.
    pub fn frames(&self, session: SessionId) -> Result<Vec<RawFrame>> {
        frames::of_session(&self.conn, session)
    }

    /// The gaps of a session in the order in which they were noticed.
    pub fn gaps(&self, session: SessionId) -> Result<Vec<Gap>> {
        gaps::of_session(&self.conn, session)
    }

    /// Readings of `from <= at < to` from every source, by instant, then by arrival.
    pub fn readings(
        &self,
        system: SystemId,
        from: DateTime<FixedOffset>,
        to: DateTime<FixedOffset>,
    ) -> Result<Vec<StoredReading>> {
        readings::between(&self.conn, system, from, to)
    }

    /// The reading with the latest instant.
    pub fn latest_reading(&self, system: SystemId) -> Result<Option<StoredReading>> {
        readings::latest(&self.conn, system)
    }

    /// Every check made on a system, in the order in which they were saved.
    pub fn checks(&self, system: SystemId) -> Result<Vec<CheckMade>> {
        checks::all(&self.conn, system)
    }

    /// The finding that was saved last.
    pub fn latest_finding(&self, system: SystemId) -> Result<Option<StoredFinding>> {
        findings::latest(&self.conn, system)
    }

    /// Every finding about a system, oldest first.
    pub fn findings(&self, system: SystemId) -> Result<Vec<StoredFinding>> {
        findings::all(&self.conn, system)
    }
}
