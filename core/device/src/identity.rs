//! Who a controller says it is: texts of the Device Information service.

use std::fmt;

use crate::error::ReadError;

/// Longest serial number, characters.
pub const MAX_SERIAL: usize = 32;
/// Longest of the other texts that is kept, characters.
const MAX_TEXT: usize = 64;

/// A serial number: 1 to 32 printable ASCII characters. The identity of a controller; its radio address is
/// not, because phones hide or change it.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Serial(String);

impl Serial {
    /// From the bytes of the Serial Number String; zeros and spaces around it are dropped.
    ///
    /// # Errors
    /// [`ReadError::Serial`] when nothing is left, it is too long, or a byte is not printable ASCII.
    pub fn from_bytes(bytes: &[u8]) -> Result<Serial, ReadError> {
        let said = bytes.trim_ascii().iter().copied().take_while(|b| *b != 0).collect::<Vec<u8>>();
        let said = said.trim_ascii();
        let bad = said.is_empty()
            || said.len() > MAX_SERIAL
            || !said.iter().all(|b| b.is_ascii_graphic() || *b == b' ');
        if bad {
            return Err(ReadError::Serial { said: visible(bytes, 40) });
        }
        Ok(Serial(said.iter().map(|b| char::from(*b)).collect()))
    }

    /// As text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl std::str::FromStr for Serial {
    type Err = ReadError;

    fn from_str(text: &str) -> Result<Serial, ReadError> {
        Serial::from_bytes(text.as_bytes())
    }
}

impl fmt::Display for Serial {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// Serial number and the texts around it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Identity {
    /// Serial number.
    pub serial: Serial,
    /// Maker, when told.
    pub maker: Option<String>,
    /// Model, when told.
    pub model: Option<String>,
    /// Firmware revision, when told.
    pub firmware: Option<String>,
    /// Hardware revision, when told.
    pub hardware: Option<String>,
}

/// A text of Device Information for the screen: UTF-8 with faults replaced, control characters dropped,
/// at most 64 characters; `None` when nothing is left.
pub fn text(bytes: &[u8]) -> Option<String> {
    let text = visible(bytes, MAX_TEXT);
    let text = text.trim();
    (!text.is_empty()).then(|| text.to_owned())
}

fn visible(bytes: &[u8], most: usize) -> String {
    let bytes = &bytes[..bytes.len().min(4 * most)];
    String::from_utf8_lossy(bytes).chars().filter(|c| !c.is_control()).take(most).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_serial_is_trimmed_and_must_be_printable() {
        assert_eq!(Serial::from_bytes(b"KH-0001\0\0").unwrap().as_str(), "KH-0001");
        assert_eq!(Serial::from_bytes(b" KH-0001 ").unwrap().as_str(), "KH-0001");
        for bad in [&b""[..], b"\0\0", b"   ", b"KH\x1b[2J", "KÄ".as_bytes(), &[b'9'; 33]] {
            let err = Serial::from_bytes(bad).unwrap_err().to_string();
            assert!(err.starts_with("the serial number must be"), "{err}");
            assert!(!err.contains('\x1b'));
        }
    }

    #[test]
    fn other_texts_are_made_safe() {
        assert_eq!(text(b"Weir 2\x07\0"), Some("Weir 2".into()));
        assert_eq!(text(&[0xFF; 3]), Some("\u{fffd}\u{fffd}\u{fffd}".into()));
        assert_eq!(text(b"\0"), None);
        assert_eq!(text(&[b'x'; 500]).unwrap().len(), 64);
    }
}
