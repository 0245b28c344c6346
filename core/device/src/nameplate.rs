//! A controller's limits, how it drives the motor, and which channels it has. Layout: `PROFILE.md`.

use wellwright_domain::channel::Channel;
use wellwright_domain::record::Drive;

use crate::error::ReadError;
use crate::profile::VERSION;
use crate::wire::{Reader, put};

/// Bytes of version 1; later versions only append.
pub const LEN: usize = 25;

/// What is printed on the controller, as far as it tells. `None` is "not told".
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Nameplate {
    /// Lowest DC voltage at which it runs, V.
    pub min_v: Option<f64>,
    /// Highest DC voltage it bears, V.
    pub max_v: Option<f64>,
    /// Power limit, W.
    pub max_power_w: Option<f64>,
    /// Phase current limit, A rms.
    pub max_phase_a_rms: Option<f64>,
    /// Lowest speed, rpm.
    pub min_rpm: Option<f64>,
    /// Highest speed, rpm.
    pub max_rpm: Option<f64>,
    /// Heat-sink temperature from which it holds back, degC.
    pub derate_from_c: Option<f64>,
    /// How it drives the motor.
    pub drive: Option<Drive>,
    /// Pole pairs by which it turns frequency into speed.
    pub pole_pairs: Option<u8>,
    /// Presence bits of every channel that it can tell.
    pub channels: u32,
    /// Time between live frames, ms.
    pub period_ms: Option<u16>,
}

impl Nameplate {
    /// From the bytes of the NAMEPLATE characteristic.
    ///
    /// # Errors
    /// [`ReadError`] when it is short, of another version, or contradicts itself.
    pub fn decode(bytes: &[u8]) -> Result<Nameplate, ReadError> {
        let short = ReadError::TooShort { what: "nameplate", have: bytes.len(), need: LEN };
        let mut r = Reader::new(bytes);
        match r.u8() {
            Some(VERSION) => {}
            Some(said) => return Err(ReadError::Version { what: "nameplate", said }),
            None => return Err(short),
        }
        let plate = fields(&mut r).ok_or(short)?;
        plate.check()?;
        Ok(plate)
    }

    /// As bytes, each value rounded to its resolution; what does not fit is "not told".
    pub fn encode(&self) -> Vec<u8> {
        let mut out = vec![VERSION];
        put_real(&mut out, self.min_v, 64.0, 3);
        put_real(&mut out, self.max_v, 64.0, 3);
        put_real(&mut out, self.max_power_w, 10.0, 3);
        put_real(&mut out, self.max_phase_a_rms, 100.0, 2);
        put_real(&mut out, self.min_rpm, 1.0, 2);
        put_real(&mut out, self.max_rpm, 1.0, 2);
        let derate = self.derate_from_c.map(|c| (c * 100.0).round()).filter(|c| c.abs() < 32768.0);
        put(&mut out, derate.map_or(-32768, |c| c as i64) as u64, 2);
        put(&mut out, drive_byte(self.drive).into(), 1);
        put(&mut out, self.pole_pairs.unwrap_or(0).into(), 1);
        put(&mut out, self.channels.into(), 3);
        put(&mut out, self.period_ms.unwrap_or(0).into(), 2);
        out
    }

    /// True when the controller can tell this channel.
    pub const fn has(&self, channel: Channel) -> bool {
        self.channels & (1 << channel as u32) != 0
    }

    /// This nameplate with the presence bits of these channels.
    #[must_use]
    pub fn with_channels(mut self, channels: impl IntoIterator<Item = Channel>) -> Nameplate {
        self.channels = channels.into_iter().fold(0, |bits, c| bits | 1 << c as u32);
        self
    }

    fn check(&self) -> Result<(), ReadError> {
        let pairs = [("voltage", "V", self.min_v, self.max_v), ("speed", "rpm", self.min_rpm, self.max_rpm)];
        for (what, unit, low, high) in pairs {
            if let (Some(low), Some(high)) = (low, high)
                && low > high
            {
                let text = |v: f64| format!("{v} {unit}");
                return Err(ReadError::Contradiction { what, low: text(low), high: text(high) });
            }
        }
        Ok(())
    }
}

fn fields(r: &mut Reader<'_>) -> Option<Nameplate> {
    Some(Nameplate {
        min_v: told(r.unsigned(3)?, 64.0, 3),
        max_v: told(r.unsigned(3)?, 64.0, 3),
        max_power_w: told(r.unsigned(3)?, 10.0, 3),
        max_phase_a_rms: told(r.unsigned(2)?, 100.0, 2),
        min_rpm: told(r.unsigned(2)?, 1.0, 2),
        max_rpm: told(r.unsigned(2)?, 1.0, 2),
        derate_from_c: Some(r.signed(2)?).filter(|c| *c != -32768).map(|c| c as f64 / 100.0),
        drive: match r.u8()? {
            0 => Some(Drive::FieldOriented),
            1 => Some(Drive::SixStep),
            _ => None,
        },
        pole_pairs: Some(r.u8()?).filter(|p| *p != 0),
        channels: r.unsigned(3)? as u32,
        period_ms: Some(r.u16()?).filter(|p| *p != 0),
    })
}

/// The value of an unsigned field whose highest count is "not told".
fn told(counts: u64, per_unit: f64, width: usize) -> Option<f64> {
    (counts != all_ones(width)).then(|| counts as f64 / per_unit)
}

fn put_real(out: &mut Vec<u8>, value: Option<f64>, per_unit: f64, width: usize) {
    let counts = value.map(|v| (v * per_unit).round()).filter(|c| *c >= 0.0 && *c < all_ones(width) as f64);
    put(out, counts.map_or(all_ones(width), |c| c as u64), width);
}

const fn all_ones(width: usize) -> u64 {
    (1 << (8 * width)) - 1
}

const fn drive_byte(drive: Option<Drive>) -> u8 {
    match drive {
        Some(Drive::FieldOriented) => 0,
        Some(Drive::SixStep) => 1,
        None => 0xFF,
    }
}
