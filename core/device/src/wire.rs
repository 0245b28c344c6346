//! Little-endian integers of one to six bytes, as the SIG's characteristics use them.

/// Reads integers from the front of a byte slice; `None` once the bytes are used up.
#[derive(Debug, Clone)]
pub struct Reader<'a> {
    rest: &'a [u8],
}

impl<'a> Reader<'a> {
    /// From the first byte.
    pub fn new(bytes: &'a [u8]) -> Reader<'a> {
        Reader { rest: bytes }
    }

    /// Bytes not read yet.
    pub fn remaining(&self) -> usize {
        self.rest.len()
    }

    /// The next `width` bytes (1 to 6) as an unsigned integer.
    pub fn unsigned(&mut self, width: usize) -> Option<u64> {
        let (taken, rest) = self.rest.split_at_checked(width)?;
        self.rest = rest;
        Some(taken.iter().rev().fold(0, |value, byte| (value << 8) | u64::from(*byte)))
    }

    /// The next `width` bytes (1 to 6) as a signed integer in two's complement.
    pub fn signed(&mut self, width: usize) -> Option<i64> {
        let unused = 64 - 8 * width as u32;
        self.unsigned(width).map(|value| (value << unused).cast_signed() >> unused)
    }

    /// One byte.
    pub fn u8(&mut self) -> Option<u8> {
        self.unsigned(1).map(|v| v as u8)
    }

    /// Two bytes.
    pub fn u16(&mut self) -> Option<u16> {
        self.unsigned(2).map(|v| v as u16)
    }

    /// Four bytes.
    pub fn u32(&mut self) -> Option<u32> {
        self.unsigned(4).map(|v| v as u32)
    }
}

/// Appends the lowest `width` bytes of `value` (two's complement when it was signed).
pub fn put(out: &mut Vec<u8>, value: u64, width: usize) {
    out.extend_from_slice(&value.to_le_bytes()[..width]);
}

/// Bytes as lower-case hexadecimal digits without spaces.
pub fn to_hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    bytes.iter().fold(String::with_capacity(2 * bytes.len()), |mut text, byte| {
        // Writing to a String cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// Bytes from hexadecimal digits; white space between them is left out. `None` when a character is not a
/// digit or a digit is alone.
pub fn from_hex(text: &str) -> Option<Vec<u8>> {
    let digits: Vec<u8> = text
        .chars()
        .filter(|c| !c.is_whitespace())
        .map(|c| c.to_digit(16).map(|d| d as u8))
        .collect::<Option<_>>()?;
    let (pairs, rest) = digits.as_chunks::<2>();
    rest.is_empty().then(|| pairs.iter().map(|[high, low]| high << 4 | low).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_and_widths() {
        let mut r = Reader::new(&[0xFF, 0x00, 0x00, 0x80, 0x01, 0x02]);
        assert_eq!(r.signed(1), Some(-1));
        assert_eq!(r.signed(3), Some(-8_388_608));
        assert_eq!(r.u16(), Some(0x0201));
        assert_eq!(r.u8(), None);
        let mut out = Vec::new();
        put(&mut out, (-2_i64) as u64, 3);
        assert_eq!(out, [0xFE, 0xFF, 0xFF]);
    }

    #[test]
    fn hex_both_ways() {
        assert_eq!(from_hex("00 ff\n1A").unwrap(), [0x00, 0xFF, 0x1A]);
        assert_eq!(to_hex(&[0x00, 0xFF, 0x1A]), "00ff1a");
        assert_eq!(from_hex("0"), None);
        assert_eq!(from_hex("0g"), None);
    }
}
