//! The identifiers of the profile: our own service and its characteristics, and the SIG's that it uses.
//!
//! Every characteristic identifier occurs once on a device, because some phone stacks look a
//! characteristic up by its identifier alone. Our own are one random 128-bit number with a counter in its
//! second pair of bytes.

use std::time::Duration;

use uuid::{Uuid, uuid};

/// Version of the profile that this crate speaks: first byte of LIVE, STATUS and NAMEPLATE.
pub const VERSION: u8 = 1;

/// The service of a pump controller; advertised.
pub const SERVICE: Uuid = uuid!("210e0001-4473-46ab-98aa-a10d5805ca90");
/// LIVE: parts of live frames; notify only.
pub const LIVE: Uuid = uuid!("210e0002-4473-46ab-98aa-a10d5805ca90");
/// STATUS: clock, boots, uptime, dropped frames; read only.
pub const STATUS: Uuid = uuid!("210e0003-4473-46ab-98aa-a10d5805ca90");
/// NAMEPLATE: limits and what is fitted; read only.
pub const NAMEPLATE: Uuid = uuid!("210e0004-4473-46ab-98aa-a10d5805ca90");

/// Model Number String (Bluetooth SIG, Device Information).
pub const MODEL: Uuid = uuid!("00002a24-0000-1000-8000-00805f9b34fb");
/// Serial Number String (Bluetooth SIG, Device Information): the identity of a controller.
pub const SERIAL: Uuid = uuid!("00002a25-0000-1000-8000-00805f9b34fb");
/// Firmware Revision String (Bluetooth SIG, Device Information).
pub const FIRMWARE: Uuid = uuid!("00002a26-0000-1000-8000-00805f9b34fb");
/// Hardware Revision String (Bluetooth SIG, Device Information).
pub const HARDWARE: Uuid = uuid!("00002a27-0000-1000-8000-00805f9b34fb");
/// Manufacturer Name String (Bluetooth SIG, Device Information).
pub const MAKER: Uuid = uuid!("00002a29-0000-1000-8000-00805f9b34fb");

/// Smallest ATT MTU that Bluetooth LE allows, bytes (Bluetooth Core, Vol 3, Part F, 3.2.8; from memory).
pub const MIN_MTU: usize = 23;
/// What a notification spends on its own header, bytes (opcode and handle).
pub const NOTIFICATION_OVERHEAD: usize = 3;
/// Longest value of an attribute, bytes (Bluetooth Core, Vol 3, Part F, 3.2.9; from memory).
pub const MAX_VALUE: usize = 512;
/// How often a controller sends a live frame when its nameplate does not say.
pub const USUAL_PERIOD: Duration = Duration::from_secs(1);

/// A characteristic that a session may read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Readable {
    /// Serial number; must be there.
    Serial,
    /// Limits; must be there.
    Nameplate,
    /// Clock and counters; must be there.
    Status,
    /// Maker; may be absent.
    Maker,
    /// Model; may be absent.
    Model,
    /// Firmware; may be absent.
    Firmware,
    /// Hardware; may be absent.
    Hardware,
}

impl Readable {
    /// All, in the order in which they are read: the serial first, so that a stranger costs one read.
    pub const ALL: [Readable; 7] = [
        Readable::Serial,
        Readable::Nameplate,
        Readable::Status,
        Readable::Maker,
        Readable::Model,
        Readable::Firmware,
        Readable::Hardware,
    ];

    /// Its identifier.
    pub const fn uuid(self) -> Uuid {
        match self {
            Readable::Serial => SERIAL,
            Readable::Nameplate => NAMEPLATE,
            Readable::Status => STATUS,
            Readable::Maker => MAKER,
            Readable::Model => MODEL,
            Readable::Firmware => FIRMWARE,
            Readable::Hardware => HARDWARE,
        }
    }

    /// True when a controller of this profile must have it.
    pub const fn is_required(self) -> bool {
        matches!(self, Readable::Serial | Readable::Nameplate | Readable::Status)
    }

    /// Word for messages and captures.
    pub const fn code(self) -> &'static str {
        match self {
            Readable::Serial => "serial",
            Readable::Nameplate => "nameplate",
            Readable::Status => "status",
            Readable::Maker => "maker",
            Readable::Model => "model",
            Readable::Firmware => "firmware",
            Readable::Hardware => "hardware",
        }
    }

    /// The characteristic with this word.
    pub fn from_code(code: &str) -> Option<Readable> {
        Self::ALL.into_iter().find(|r| r.code() == code)
    }
}
