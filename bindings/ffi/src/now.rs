//! The moment: where the session stands, and each number against what it should be.

use wellwright_app::now::{Now, NowRow};
use wellwright_app::session;

/// Where a session stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum Stage {
    /// Looking for the controller.
    Searching,
    /// Connecting, reading its nameplate, subscribing.
    Connecting,
    /// Live values come.
    Following,
    /// Resting before the next try.
    Waiting,
    /// Over.
    Ended,
}

impl From<&session::Stage> for Stage {
    fn from(stage: &session::Stage) -> Stage {
        match stage {
            session::Stage::Searching => Stage::Searching,
            session::Stage::Connecting => Stage::Connecting,
            session::Stage::Following => Stage::Following,
            session::Stage::Waiting => Stage::Waiting,
            session::Stage::Ended => Stage::Ended,
        }
    }
}

/// One number, as it is shown.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ReadingView {
    /// Stable id: `sun`, `array`, `flow`, `pressure`, `level`, `pump`, `motor`, `controller`, `tank`.
    pub id: String,
    /// Name in words.
    pub name: String,
    /// Number as shown, or words in its place.
    pub value: String,
    /// Unit as shown.
    pub unit: String,
    /// What should be, as shown, without unit.
    pub should: Option<String>,
    /// How far it is off, in words.
    pub note: Option<String>,
    /// It lies outside what should be.
    pub differs: bool,
}

impl From<NowRow> for ReadingView {
    fn from(row: NowRow) -> ReadingView {
        ReadingView {
            id: row.id,
            name: row.name,
            value: row.value,
            unit: row.unit,
            should: row.should,
            note: row.note,
            differs: row.differs,
        }
    }
}

/// What a session shows now.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct NowView {
    /// Name of the system.
    pub system: String,
    /// Simulated.
    pub simulated: bool,
    /// Where the session stands.
    pub stage: Stage,
    /// The same in words.
    pub stage_text: String,
    /// Why it waits or ended, or what is wrong besides, in words.
    pub problem: Option<String>,
    /// Frames received.
    pub received: u64,
    /// Readings that the store has acknowledged.
    pub saved: u64,
    /// Frames that were sent and never came.
    pub lost: u64,
    /// Instant of the last reading, ms since 1970; absent before the first.
    pub at_ms: Option<i64>,
    /// The controller's state and flags in words.
    pub state: String,
    /// What the moment comes to, in a few words.
    pub title: String,
    /// One sentence beneath.
    pub text: String,
    /// Something differs from what should be.
    pub differs: bool,
    /// Numbers, from the sun down to the motor.
    pub readings: Vec<ReadingView>,
}

impl From<wellwright_app::NowView> for NowView {
    fn from(view: wellwright_app::NowView) -> NowView {
        let session = view.session;
        let at_ms = view.now.as_ref().map(|now| now.at.timestamp_millis());
        let (state, title, text, differs, rows) = match view.now {
            Some(Now { state, title, text, differs, rows, .. }) => (state, title, text, differs, rows),
            None => Default::default(),
        };
        NowView {
            system: view.system,
            simulated: view.simulated,
            stage: Stage::from(&session.stage),
            stage_text: view.stage,
            problem: session.reason.or(session.problem),
            received: session.received,
            saved: session.saved,
            lost: session.lost,
            at_ms,
            state,
            title,
            text,
            differs,
            readings: rows.into_iter().map(ReadingView::from).collect(),
        }
    }
}
