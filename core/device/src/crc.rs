//! The check sum at the end of a live frame: CRC-16 as Modbus RTU uses it.
//!
//! Bluetooth has its own check on the air; this one proves that the parts of a frame were put together
//! rightly and that nothing on the way to us shortened one.

/// CRC-16, polynomial A001 (reflected 8005), start FFFF, no final inversion.
///
/// Source: Modbus over Serial Line Specification and Implementation Guide V1.02, section 6.2.2; its
/// published check over the ASCII digits `123456789` is 4B37.
///
/// ```
/// assert_eq!(wellwright_device::crc::crc16(b"123456789"), 0x4B37);
/// ```
pub fn crc16(bytes: &[u8]) -> u16 {
    bytes.iter().fold(0xFFFF, |crc, byte| (crc >> 8) ^ TABLE[usize::from((crc as u8) ^ byte)])
}

const TABLE: [u16; 256] = table();

const fn table() -> [u16; 256] {
    let mut table = [0; 256];
    let mut i = 0;
    while i < 256 {
        let mut crc = i as u16;
        let mut bit = 0;
        while bit < 8 {
            crc = if crc & 1 == 1 { (crc >> 1) ^ 0xA001 } else { crc >> 1 };
            bit += 1;
        }
        table[i] = crc;
        i += 1;
    }
    table
}

#[cfg(test)]
mod tests {
    use super::crc16;

    /// Frames printed in the Modbus serial and application guides: address, function, data, then the CRC
    /// with its low byte first.
    #[test]
    fn published_modbus_frames() {
        let frames: [&[u8]; 2] = [
            &[0x11, 0x03, 0x00, 0x6B, 0x00, 0x03, 0x76, 0x87],
            &[0x11, 0x03, 0x06, 0xAE, 0x41, 0x56, 0x52, 0x43, 0x40, 0x49, 0xAD],
        ];
        for frame in frames {
            let (body, crc) = frame.split_at(frame.len() - 2);
            assert_eq!(crc16(body).to_le_bytes(), crc);
        }
    }
}
