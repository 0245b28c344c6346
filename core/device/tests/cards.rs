//! Nameplate and status: golden bytes, and values that cannot be used.

use chrono::DateTime;
use proptest::prelude::*;
use wellwright_device::error::ReadError;
use wellwright_device::nameplate::{self, Nameplate};
use wellwright_device::profile::Readable;
use wellwright_device::session::{Card, RawCard};
use wellwright_device::status::{self, Status};
use wellwright_domain::channel::Channel;
use wellwright_domain::record::Drive;

mod golden;
use golden::rows;

fn plate() -> Nameplate {
    Nameplate {
        min_v: Some(60.0),
        max_v: Some(450.0),
        max_power_w: Some(2200.0),
        max_phase_a_rms: Some(8.0),
        min_rpm: Some(900.0),
        max_rpm: Some(3000.0),
        derate_from_c: Some(60.0),
        drive: Some(Drive::FieldOriented),
        pole_pairs: Some(1),
        channels: 0,
        period_ms: Some(1000),
    }
    .with_channels(Channel::ALL)
}

#[test]
fn golden_nameplates() {
    for (plate, name) in [(plate(), "nameplate"), (Nameplate::default(), "nameplate_bare")] {
        let bytes = rows(name).remove(0);
        assert_eq!(bytes.len(), nameplate::LEN);
        assert_eq!(plate.encode(), bytes, "{name}");
        assert_eq!(Nameplate::decode(&bytes).unwrap(), plate, "{name}");
    }
    assert!(plate().has(Channel::EnergyKwh) && !Nameplate::default().has(Channel::ArrayV));
}

#[test]
fn golden_status() {
    let set = Status {
        clock: Some(DateTime::parse_from_rfc3339("2026-03-14T10:20:30.5+02:00").unwrap()),
        boot: 3,
        uptime_ms: 12_345_678,
        dropped_frames: 17,
    };
    let unset = Status { uptime_ms: 5000, ..Status::default() };
    for (status, name) in [(set.clone(), "status"), (unset.clone(), "status_no_clock")] {
        let bytes = rows(name).remove(0);
        assert_eq!(bytes.len(), status::LEN);
        assert_eq!(status.encode(), bytes, "{name}");
        assert_eq!(Status::decode(&bytes).unwrap(), status, "{name}");
    }
    let ours = DateTime::parse_from_rfc3339("2026-03-14T08:20:00Z").unwrap();
    assert_eq!(set.clock_ahead(ours).unwrap().num_milliseconds(), 30_500);
    assert_eq!(unset.clock_ahead(ours), None);
}

#[test]
fn an_impossible_clock_is_not_told() {
    let good = rows("status").remove(0);
    for (at, byte) in [(2, 40), (3, 13), (4, 31 + 1), (5, 24), (6, 60), (7, 61), (11, 0x80), (11, 127)] {
        let mut bytes = good.clone();
        bytes[at] = byte;
        let status = Status::decode(&bytes).unwrap();
        assert_eq!(status.clock, None, "byte {at} = {byte}");
        assert_eq!(status.boot, 3);
    }
}

#[test]
fn short_or_other_versions_say_what_to_do() {
    let bytes = rows("nameplate").remove(0);
    let err = Nameplate::decode(&bytes[..24]).unwrap_err();
    assert_eq!(
        err.to_string(),
        "nameplate is 24 bytes long and needs at least 25: the controller's firmware is faulty"
    );
    let mut later = bytes.clone();
    later[0] = 2;
    assert_eq!(Nameplate::decode(&later), Err(ReadError::Version { what: "nameplate", said: 2 }));
    assert_eq!(Status::decode(&[]), Err(ReadError::TooShort { what: "status", have: 0, need: 23 }));
    let longer = [bytes, vec![1, 2, 3]].concat();
    assert_eq!(Nameplate::decode(&longer).unwrap(), plate(), "later versions only append");
}

#[test]
fn a_contradiction_is_refused() {
    let upside_down = Nameplate { min_v: Some(500.0), ..plate() }.encode();
    assert_eq!(
        Nameplate::decode(&upside_down).unwrap_err().to_string(),
        "the nameplate says lowest voltage 500 V and highest 450 V: the controller's firmware is faulty"
    );
}

#[test]
fn a_card_comes_back() {
    let raw = RawCard::default()
        .with(Readable::Serial, *b"KH-0001")
        .with(Readable::Model, *b"Demo")
        .with(Readable::Nameplate, rows("nameplate").remove(0))
        .with(Readable::Status, rows("status").remove(0));
    let card = Card::decode(&raw).unwrap();
    assert_eq!(card.identity.serial.as_str(), "KH-0001");
    assert_eq!(card.identity.maker, None);
    assert_eq!(card.encode(), raw);
    assert!(matches!(Card::decode(&RawCard::default()), Err(ReadError::Serial { .. })));
}

proptest! {
    #[test]
    fn random_bytes_never_panic(mut bytes in proptest::collection::vec(any::<u8>(), 0..40)) {
        if let Some(first) = bytes.first_mut() {
            *first = 1;
        }
        if let Ok(plate) = Nameplate::decode(&bytes) {
            prop_assert_eq!(Nameplate::decode(&plate.encode()).unwrap(), plate);
        }
        if let Ok(status) = Status::decode(&bytes) {
            prop_assert_eq!(Status::decode(&status.encode()).unwrap(), status);
        }
        let raw = RawCard::default().with(Readable::Serial, bytes.clone()).with(Readable::Model, bytes);
        let _ = Card::decode(&raw);
    }
}
