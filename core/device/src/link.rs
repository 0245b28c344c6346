//! The port to a radio, real or not. It can look, connect, read and listen; it has no way to write.

use std::future::Future;

use thiserror::Error;

use crate::profile::Readable;
use crate::queue::EventQueue;
use crate::session::PeripheralId;

/// Something that finds and connects one controller at a time.
///
/// Events (sightings, notifications, the lost link) come through [`Link::queue`], filled by tasks of the
/// link's own, so that nothing the reader does can hold up the radio.
pub trait Link: Send + Sync + 'static {
    /// Begins to look for peripherals that advertise our service; each is pushed as seen, again and again.
    fn start_search(&self) -> impl Future<Output = Result<(), LinkError>> + Send;

    /// Stops looking; nothing to do is no error.
    fn stop_search(&self) -> impl Future<Output = Result<(), LinkError>> + Send;

    /// Connects to a peripheral that was seen.
    fn connect(&self, id: &PeripheralId) -> impl Future<Output = Result<(), LinkError>> + Send;

    /// Discovers its services anew and checks that what the profile requires is there.
    fn discover(&self) -> impl Future<Output = Result<(), LinkError>> + Send;

    /// Reads a characteristic; `None` when the peripheral has none of that kind.
    fn read(&self, which: Readable) -> impl Future<Output = Result<Option<Vec<u8>>, LinkError>> + Send;

    /// Asks for notifications of LIVE; they are pushed as they come.
    fn subscribe(&self) -> impl Future<Output = Result<(), LinkError>> + Send;

    /// Gives up the connection; not being connected is no error.
    fn disconnect(&self) -> impl Future<Output = Result<(), LinkError>> + Send;

    /// Where events come from.
    fn queue(&self) -> &EventQueue;
}

/// What was under way when time ran out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// Connecting or discovering.
    Connect,
    /// Reading serial, nameplate or status.
    Read,
    /// Subscribing.
    Subscribe,
}

impl std::fmt::Display for Step {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Step::Connect => "being connected",
            Step::Read => "reading its nameplate",
            Step::Subscribe => "asking for live values",
        })
    }
}

/// What went wrong with radio or link, and what the person should do. Texts of platforms are mapped once,
/// in the link that gets them.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum LinkError {
    /// The radio is switched off.
    #[error("Bluetooth is off: switch it on")]
    BluetoothOff,
    /// The machine has no radio.
    #[error("this device has no Bluetooth adapter: plug one in, or use a phone")]
    NoAdapter,
    /// Linux: nobody answers as the Bluetooth service.
    #[error("the Bluetooth service does not run: start it (on Linux: systemctl start bluetooth)")]
    NoService,
    /// The app may not use the radio.
    #[error("Bluetooth is not allowed for this program: grant the permission in the system's settings")]
    PermissionDenied,
    /// The peripheral wants to be paired first.
    #[error("the controller wants to be paired: pair it in the system's Bluetooth settings")]
    NeedsPairing,
    /// It was seen and is not there any more.
    #[error("the controller is not in reach any more: go nearer")]
    NotInReach,
    /// The connection broke.
    #[error("the link to the controller was lost: go nearer")]
    LinkLost,
    /// The peripheral did not do something in time.
    #[error("the controller did not answer while {0}: go nearer; if it stays so, restart it")]
    TimedOut(Step),
    /// A characteristic that the profile requires is missing.
    #[error("the peripheral lacks {0} of the controller profile: its firmware is older or faulty")]
    NotThisProfile(&'static str),
    /// A capture has come to its end.
    #[error("the recording is at its end")]
    EndOfRecording,
    /// Anything else, in the platform's words.
    #[error("Bluetooth failed ({0}): switch it off and on again, then try once more")]
    Failed(String),
}

impl LinkError {
    /// True when trying again is of no use before a person has done something.
    pub const fn needs_person(&self) -> bool {
        matches!(
            self,
            LinkError::NoAdapter
                | LinkError::NoService
                | LinkError::PermissionDenied
                | LinkError::EndOfRecording
        )
    }
}
