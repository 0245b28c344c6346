//! What is read from a controller after connecting.

use crate::error::ReadError;
use crate::identity::{self, Identity, Serial};
use crate::nameplate::Nameplate;
use crate::profile::Readable;
use crate::status::Status;

/// Bytes as they were read; a characteristic that is not there is empty.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RawCard {
    values: [Option<Vec<u8>>; Readable::ALL.len()],
}

impl RawCard {
    /// Keeps the value of a characteristic.
    pub fn set(&mut self, which: Readable, value: Vec<u8>) {
        self.values[which as usize] = Some(value);
    }

    /// This card with one value more.
    #[must_use]
    pub fn with(mut self, which: Readable, value: impl Into<Vec<u8>>) -> RawCard {
        self.set(which, value.into());
        self
    }

    /// The value of a characteristic, if it was read.
    pub fn get(&self, which: Readable) -> Option<&[u8]> {
        self.values[which as usize].as_deref()
    }

    fn bytes(&self, which: Readable) -> &[u8] {
        self.get(which).unwrap_or_default()
    }
}

/// What the controller says it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Card {
    /// Serial and texts.
    pub identity: Identity,
    /// Limits.
    pub nameplate: Nameplate,
    /// Clock and counters when it was read.
    pub status: Status,
}

impl Card {
    /// The serial number alone, for it decides first.
    ///
    /// # Errors
    /// [`ReadError::Serial`].
    pub fn serial(raw: &RawCard) -> Result<Serial, ReadError> {
        Serial::from_bytes(raw.bytes(Readable::Serial))
    }

    /// All of it.
    ///
    /// # Errors
    /// [`ReadError`] of the first value that cannot be used.
    pub fn decode(raw: &RawCard) -> Result<Card, ReadError> {
        let text = |which| identity::text(raw.bytes(which));
        Ok(Card {
            identity: Identity {
                serial: Card::serial(raw)?,
                maker: text(Readable::Maker),
                model: text(Readable::Model),
                firmware: text(Readable::Firmware),
                hardware: text(Readable::Hardware),
            },
            nameplate: Nameplate::decode(raw.bytes(Readable::Nameplate))?,
            status: Status::decode(raw.bytes(Readable::Status))?,
        })
    }

    /// The bytes a controller would answer with; what a simulated one needs.
    pub fn encode(&self) -> RawCard {
        let mut raw = RawCard::default()
            .with(Readable::Serial, self.identity.serial.as_str())
            .with(Readable::Nameplate, self.nameplate.encode())
            .with(Readable::Status, self.status.encode());
        let texts = [
            (Readable::Maker, &self.identity.maker),
            (Readable::Model, &self.identity.model),
            (Readable::Firmware, &self.identity.firmware),
            (Readable::Hardware, &self.identity.hardware),
        ];
        for (which, text) in texts {
            if let Some(text) = text {
                raw.set(which, text.as_bytes().to_vec());
            }
        }
        raw
    }
}
