//! A live frame in parts: each notification carries a two-byte header and a piece of the frame.
//!
//! Nothing but the smallest ATT MTU (23 bytes, 20 of payload) is assumed, and a controller need not know
//! the MTU that was agreed. Header: byte 0 is the low byte of the frame's sequence number; byte 1 holds the
//! part's index in its high and the number of parts less one in its low four bits.

mod assembler;

pub use assembler::{Assembler, FaultCounts};

use crate::profile::{MIN_MTU, NOTIFICATION_OVERHEAD};
use crate::wire::put;

/// Bytes of a part's header.
pub const HEADER_LEN: usize = 2;
/// Most parts of a frame.
pub const MAX_PARTS: usize = 16;

/// The header of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Header {
    /// Low byte of the frame's sequence number.
    pub seq: u8,
    /// Index of this part, from 0.
    pub index: u8,
    /// Number of parts, 1 to 16.
    pub count: u8,
}

impl Header {
    /// From the front of a notification, with the rest of it. `None` when there is no header, nothing
    /// after it, or an index that is not below the count.
    pub fn parse(notification: &[u8]) -> Option<(Header, &[u8])> {
        let (&[seq, place], body) = notification.split_first_chunk::<HEADER_LEN>()?;
        let header = Header { seq, index: place >> 4, count: (place & 0x0F) + 1 };
        (header.index < header.count && !body.is_empty()).then_some((header, body))
    }
}

/// Cuts an encoded frame of at most [`MAX_LEN`](crate::frame::MAX_LEN) bytes into notifications that pass
/// at an ATT MTU (bytes; under 23 counts as 23).
pub fn split(seq: u32, frame: &[u8], mtu: usize) -> Vec<Vec<u8>> {
    let body_len = mtu.max(MIN_MTU) - NOTIFICATION_OVERHEAD - HEADER_LEN;
    let count = frame.len().div_ceil(body_len);
    frame
        .chunks(body_len)
        .enumerate()
        .map(|(index, body)| {
            let mut part = Vec::with_capacity(HEADER_LEN + body.len());
            put(&mut part, u64::from(seq & 0xFF), 1);
            put(&mut part, ((index << 4) | (count - 1)) as u64, 1);
            part.extend_from_slice(body);
            part
        })
        .collect()
}
