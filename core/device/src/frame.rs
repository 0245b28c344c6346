//! One live frame: bytes to values and back.
//!
//! A frame carries its number, the controller's own running time, state, flags, and one field for each
//! channel that the controller knows at that moment. Layout: `PROFILE.md`, section LIVE.

use chrono::{DateTime, FixedOffset};
use wellwright_domain::channel::Channel;
use wellwright_domain::flags::{Flags, PumpState};
use wellwright_domain::sample::Sample;

use crate::crc::crc16;
use crate::error::FrameError;
use crate::layout::field;
use crate::part;
use crate::profile::VERSION;
use crate::wire::{Reader, put};

/// Bytes before the fields: version 1, boot 2, sequence 4, running time 5, state 1, flags 2, presence 3.
pub const HEAD_LEN: usize = 18;
/// Bytes after the fields.
pub const CRC_LEN: usize = 2;
/// Longest frame that is accepted, bytes; later versions of the fields must stay within it.
pub const MAX_LEN: usize = 255;
/// Highest running time that fits, ms (34 years).
pub const MAX_UPTIME_MS: u64 = (1 << 40) - 1;

const NOT_TOLD_STATE: u8 = 0xFF;
const NOT_TOLD_FLAGS: u16 = 0xFFFF;
const KNOWN_CHANNELS: u32 = (1 << Channel::COUNT) - 1;

/// What a controller said at one instant, in counts of the frame's fields.
///
/// Values are kept as the integers that travelled, so that encoding a decoded frame gives the same bytes
/// (unless a later version appended fields that this one does not know).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LiveFrame {
    /// Boot counter of the controller, as in STATUS; 0 when it does not count.
    pub boot: u16,
    /// Number of this frame since the boot; wraps.
    pub seq: u32,
    /// Running time since the boot, ms; never goes back within one boot; at most [`MAX_UPTIME_MS`].
    pub uptime_ms: u64,
    /// State, when told.
    pub state: Option<PumpState>,
    /// Flags, when told.
    pub flags: Option<Flags>,
    present: u32,
    counts: [i64; Channel::COUNT],
}

impl LiveFrame {
    /// A frame without any value.
    pub fn new(seq: u32, uptime_ms: u64) -> LiveFrame {
        LiveFrame {
            boot: 0,
            seq,
            uptime_ms: uptime_ms.min(MAX_UPTIME_MS),
            state: None,
            flags: None,
            present: 0,
            counts: [0; Channel::COUNT],
        }
    }

    /// The frame a controller would send for a sample: each value rounded to its field's resolution; a
    /// value that is no number or does not fit its field is left out.
    pub fn from_sample(sample: &Sample, seq: u32, uptime_ms: u64) -> LiveFrame {
        let mut frame = LiveFrame::new(seq, uptime_ms);
        frame.state = sample.state;
        frame.flags = sample.flags;
        for channel in Channel::ALL {
            frame.set(channel, sample.raw(channel));
        }
        frame
    }

    /// The same frame with a boot counter.
    #[must_use]
    pub fn with_boot(mut self, boot: u16) -> LiveFrame {
        self.boot = boot;
        self
    }

    /// The sample it stands for, at the instant given.
    pub fn to_sample(&self, received_at: DateTime<FixedOffset>) -> Sample {
        let mut sample = Sample::new(received_at);
        sample.state = self.state;
        sample.flags = self.flags;
        for channel in Channel::ALL {
            sample.set(channel, self.value(channel));
        }
        sample
    }

    /// The value of a channel in its own unit; `None` when the controller did not tell it.
    pub fn value(&self, channel: Channel) -> Option<f64> {
        self.is_present(channel).then(|| field(channel).value(self.counts[channel as usize]))
    }

    /// Sets or clears a channel, in its own unit; what does not fit clears it.
    pub fn set(&mut self, channel: Channel, value: Option<f64>) {
        let counts = value.and_then(|v| field(channel).counts(v));
        self.counts[channel as usize] = counts.unwrap_or(0);
        if counts.is_some() {
            self.present |= 1 << channel as u32;
        } else {
            self.present &= !(1 << channel as u32);
        }
    }

    /// Presence bits: bit n is channel n of [`Channel::ALL`].
    pub const fn presence(&self) -> u32 {
        self.present
    }

    const fn is_present(&self, channel: Channel) -> bool {
        self.present & (1 << channel as u32) != 0
    }

    /// The frame as bytes.
    pub fn encode(&self) -> Vec<u8> {
        let mut out = Vec::with_capacity(HEAD_LEN + 45 + CRC_LEN);
        out.push(VERSION);
        put(&mut out, self.boot.into(), 2);
        put(&mut out, self.seq.into(), 4);
        put(&mut out, self.uptime_ms.min(MAX_UPTIME_MS), 5);
        out.push(self.state.map_or(NOT_TOLD_STATE, state_byte));
        put(&mut out, self.flags.map_or(NOT_TOLD_FLAGS, Flags::bits).into(), 2);
        put(&mut out, self.present.into(), 3);
        for channel in Channel::ALL.into_iter().filter(|c| self.is_present(*c)) {
            put(&mut out, self.counts[channel as usize] as u64, field(channel).width);
        }
        let crc = crc16(&out);
        put(&mut out, crc.into(), CRC_LEN);
        out
    }

    /// A frame from bytes.
    ///
    /// Unknown states and flags are "not told" and dropped; fields of presence bits that this version does
    /// not know stand last and are skipped.
    ///
    /// # Errors
    /// [`FrameError`], the check sum before anything else that depends on the bytes being right.
    pub fn decode(bytes: &[u8]) -> Result<LiveFrame, FrameError> {
        let have = bytes.len();
        if have < HEAD_LEN + CRC_LEN {
            return Err(FrameError::TooShort { have, need: HEAD_LEN + CRC_LEN });
        }
        if have > MAX_LEN {
            return Err(FrameError::TooLong { extra: have - MAX_LEN });
        }
        let (body, crc) = bytes.split_at(have - CRC_LEN);
        let (said, computed) = (u16::from_le_bytes([crc[0], crc[1]]), crc16(body));
        if said != computed {
            return Err(FrameError::Checksum { said, computed });
        }
        if body[0] != VERSION {
            return Err(FrameError::Version { said: body[0] });
        }
        decode_body(body).map_err(|need| FrameError::TooShort { have, need: need + CRC_LEN }).and_then(
            |(frame, extra)| {
                if extra == 0 { Ok(frame) } else { Err(FrameError::TooLong { extra }) }
            },
        )
    }

    /// The notifications that carry this frame at an ATT MTU (bytes; under 23 counts as 23).
    pub fn to_parts(&self, mtu: usize) -> Vec<Vec<u8>> {
        part::split(self.seq, &self.encode(), mtu)
    }
}

/// The frame and the bytes left over, or how many bytes the body should have had.
fn decode_body(body: &[u8]) -> Result<(LiveFrame, usize), usize> {
    let mut r = Reader::new(body);
    let head = |r: &mut Reader<'_>| {
        let (_version, boot) = (r.u8()?, r.u16()?);
        let mut frame = LiveFrame::new(r.u32()?, r.unsigned(5)?).with_boot(boot);
        frame.state = state_from_byte(r.u8()?);
        frame.flags = Some(r.u16()?).filter(|f| *f != NOT_TOLD_FLAGS).map(Flags::from_bits);
        Some((frame, r.unsigned(3)? as u32))
    };
    let (mut frame, present) = head(&mut r).ok_or(HEAD_LEN)?;
    frame.present = present & KNOWN_CHANNELS;
    let mut need = HEAD_LEN;
    for channel in Channel::ALL.into_iter().filter(|c| present & (1 << *c as u32) != 0) {
        let field = field(channel);
        need += field.width;
        let counts =
            if field.signed { r.signed(field.width) } else { r.unsigned(field.width).map(u64::cast_signed) };
        frame.counts[channel as usize] = counts.unwrap_or(0);
    }
    if body.len() < need {
        return Err(need);
    }
    let later_fields = present & !KNOWN_CHANNELS != 0;
    Ok((frame, if later_fields { 0 } else { r.remaining() }))
}

const fn state_byte(state: PumpState) -> u8 {
    match state {
        PumpState::Running => 0,
        PumpState::Starting => 1,
        PumpState::Stopped => 2,
        PumpState::Tripped => 3,
    }
}

fn state_from_byte(byte: u8) -> Option<PumpState> {
    PumpState::ALL.into_iter().find(|s| state_byte(*s) == byte)
}
