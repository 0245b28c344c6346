//! Live frames: golden bytes, round trips, and bytes that are no frame.

use chrono::DateTime;
use proptest::prelude::*;
use wellwright_device::crc::crc16;
use wellwright_device::error::FrameError;
use wellwright_device::frame::{CRC_LEN, HEAD_LEN, LiveFrame, MAX_LEN, MAX_UPTIME_MS};
use wellwright_device::layout::field;
use wellwright_device::wire::to_hex;
use wellwright_domain::channel::Channel;
use wellwright_domain::flags::{Flag, Flags, PumpState};
use wellwright_domain::sample::Sample;

mod golden;
use golden::rows;

fn now() -> DateTime<chrono::FixedOffset> {
    DateTime::parse_from_rfc3339("2026-03-14T10:20:30+02:00").unwrap()
}

/// The sample behind `live_full.hex`; values are invented.
fn full() -> LiveFrame {
    let values = [
        312.5, 4.85, 2890.0, 3.12, 3.10, 3.15, 181.25, 41.37, 873.2, 48.5, -3.45, 5.4, 101.325, 23.41, 62.5,
        1234.567, 890.123,
    ];
    let mut sample = Sample::new(now());
    sample.state = Some(PumpState::Running);
    sample.flags = Some(Flags::NONE);
    for (channel, value) in Channel::ALL.into_iter().zip(values) {
        sample.set(channel, Some(value));
    }
    LiveFrame::from_sample(&sample, 70_000, 12_345_678).with_boot(3)
}

fn tripped() -> LiveFrame {
    let mut sample = Sample::new(now())
        .with(Channel::ArrayV, -0.25)
        .with(Channel::ArrayA, -0.02)
        .with(Channel::ControllerC, 55.01);
    sample.state = Some(PumpState::Tripped);
    sample.flags = Some(Flags::NONE.with(Flag::DryProbe).with(Flag::LowPower));
    LiveFrame::from_sample(&sample, 0, 900)
}

fn bare() -> LiveFrame {
    LiveFrame::new(u32::MAX, u64::MAX).with_boot(u16::MAX)
}

#[test]
fn golden_frames() {
    for (frame, name) in [(full(), "live_full"), (tripped(), "live_tripped"), (bare(), "live_bare")] {
        let bytes = rows(name).remove(0);
        assert_eq!(to_hex(&frame.encode()), to_hex(&bytes), "{name}");
        assert_eq!(LiveFrame::decode(&bytes).unwrap(), frame, "{name}");
    }
    assert_eq!(bare().uptime_ms, MAX_UPTIME_MS);
}

#[test]
fn golden_parts() {
    assert_eq!(full().to_parts(23), rows("live_full_mtu23"));
    assert_eq!(full().to_parts(185), rows("live_full_mtu185"));
    assert_eq!(full().to_parts(0), rows("live_full_mtu23"), "no MTU is under 23");
    assert!(rows("live_full_mtu23").iter().all(|part| part.len() <= 20));
}

#[test]
fn a_sample_comes_back_within_half_a_count() {
    let frame = full();
    let sample = frame.to_sample(now());
    assert_eq!(sample.at, now());
    assert_eq!(sample.state, Some(PumpState::Running));
    assert_eq!(sample.flags, Some(Flags::NONE));
    assert_eq!(sample.get(Channel::ArrayV), Some(312.5));
    assert_eq!(sample.get(Channel::FlowM3H), Some(5.4));
    assert_eq!(sample.get(Channel::WellheadKpa), Some(101.325));
    assert_eq!(tripped().to_sample(now()).raw(Channel::FlowM3H), None, "not told is not zero");
}

#[test]
fn unknown_states_flags_and_later_fields_are_no_fault() {
    let mut body = full().encode();
    body.truncate(body.len() - CRC_LEN);
    body[12] = 9; // state of a later version
    body[14] |= 0x20; // flag bit 13
    body[17] |= 0x80; // presence bit 23
    body.extend_from_slice(&[1, 2, 3]); // its field
    let crc = crc16(&body);
    body.extend_from_slice(&crc.to_le_bytes());
    let frame = LiveFrame::decode(&body).unwrap();
    assert_eq!(frame.state, None);
    assert_eq!(frame.flags, Some(Flags::NONE));
    assert_eq!(frame.value(Channel::EnergyKwh), Some(890.123));
    assert_eq!(frame.presence(), 0x1_FFFF);
}

#[test]
fn each_fault_is_named() {
    let good = full().encode();
    let sealed = |mut body: Vec<u8>| {
        let crc = crc16(&body);
        body.extend_from_slice(&crc.to_le_bytes());
        LiveFrame::decode(&body)
    };
    let body = &good[..good.len() - CRC_LEN];
    assert_eq!(LiveFrame::decode(&[]), Err(FrameError::TooShort { have: 0, need: HEAD_LEN + CRC_LEN }));
    assert_eq!(LiveFrame::decode(&[0; 256]), Err(FrameError::TooLong { extra: 1 }));
    let mut flipped = good.clone();
    flipped[20] ^= 1;
    assert!(matches!(LiveFrame::decode(&flipped), Err(FrameError::Checksum { .. })));
    assert_eq!(
        sealed(body[..body.len() - 1].to_vec()),
        Err(FrameError::TooShort { have: good.len() - 1, need: good.len() })
    );
    assert_eq!(sealed([body, &[0]].concat()), Err(FrameError::TooLong { extra: 1 }));
    let mut later = body.to_vec();
    later[0] = 2;
    assert_eq!(sealed(later), Err(FrameError::Version { said: 2 }));
}

/// CRC-16 finds every error of one or two bits in a frame this short (its period is 32,767 bits).
#[test]
fn every_one_and_two_bit_error_is_found() {
    let good = tripped().encode();
    let bits = good.len() * 8;
    for first in 0..bits {
        for second in first..bits {
            let mut bad = good.clone();
            bad[first / 8] ^= 1 << (first % 8);
            if second != first {
                bad[second / 8] ^= 1 << (second % 8);
            }
            assert!(LiveFrame::decode(&bad).is_err(), "bits {first} and {second}");
        }
    }
}

prop_compose! {
    fn any_frame()(
        boot: u16, seq: u32, uptime in 0..=MAX_UPTIME_MS,
        state in proptest::option::of(0usize..4),
        flags in proptest::option::of(0u16..(1 << 13)),
        counts in proptest::collection::vec(proptest::option::of(0.0f64..=1.0), Channel::COUNT),
    ) -> LiveFrame {
        let mut frame = LiveFrame::new(seq, uptime).with_boot(boot);
        frame.state = state.map(|s| PumpState::ALL[s]);
        frame.flags = flags.map(Flags::from_bits);
        for (channel, share) in Channel::ALL.into_iter().zip(counts) {
            let f = field(channel);
            let counts = share.map(|s| (f.min() as f64 + s * (f.max() - f.min()) as f64).round());
            frame.set(channel, counts.map(|c| f.value(c as i64)));
        }
        frame
    }
}

proptest! {
    #[test]
    fn round_trip(frame in any_frame()) {
        let bytes = frame.encode();
        prop_assert!(bytes.len() <= MAX_LEN);
        prop_assert_eq!(LiveFrame::decode(&bytes).unwrap(), frame);
    }

    #[test]
    fn a_value_is_rounded_by_at_most_half_a_count(share in 0.0f64..=1.0, at in 0..Channel::COUNT) {
        let channel = Channel::ALL[at];
        let (info, f) = (channel.info(), field(channel));
        let (low, high) = (f.value(f.min()).max(info.min), f.value(f.max()).min(info.max));
        let value = low + share * (high - low);
        let mut frame = LiveFrame::new(0, 0);
        frame.set(channel, Some(value));
        let back = frame.value(channel).unwrap();
        prop_assert!((back - value).abs() <= 0.5 * f.resolution() * (1.0 + 1e-6), "{channel:?} {value} {back}");
    }

    #[test]
    fn random_bytes_never_panic(bytes in proptest::collection::vec(any::<u8>(), 0..600)) {
        if let Ok(frame) = LiveFrame::decode(&bytes) {
            prop_assert_eq!(frame.encode().len() <= bytes.len(), true);
        }
    }

    /// With a right check sum the reader gets further: it must still not panic, and what it takes it must
    /// give back the same.
    #[test]
    fn random_bytes_with_a_right_check_sum(mut bytes in proptest::collection::vec(any::<u8>(), 18..90)) {
        bytes[0] = 1;
        bytes[17] &= 0x01; // no fields of later versions
        let crc = crc16(&bytes);
        bytes.extend_from_slice(&crc.to_le_bytes());
        if let Ok(frame) = LiveFrame::decode(&bytes) {
            let again = LiveFrame::decode(&frame.encode()).unwrap();
            prop_assert_eq!(again, frame);
        }
    }

    #[test]
    fn any_sample_gives_a_frame(values in proptest::collection::vec(any::<f64>(), Channel::COUNT)) {
        let mut sample = Sample::new(now());
        for (channel, value) in Channel::ALL.into_iter().zip(values) {
            sample.set(channel, Some(value));
        }
        let frame = LiveFrame::from_sample(&sample, 1, 2);
        prop_assert_eq!(LiveFrame::decode(&frame.encode()).unwrap(), frame);
    }
}
