//! `PROFILE.md` says what the code does: identifiers, tables and examples are compared.

use wellwright_device::frame::{HEAD_LEN, MAX_LEN};
use wellwright_device::layout::field;
use wellwright_device::session::Policy;
use wellwright_device::wire::to_hex;
use wellwright_device::{nameplate, profile, status};
use wellwright_domain::channel::Channel;
use wellwright_domain::flags::{Flag, PumpState};

mod golden;
use golden::rows;

const DOCUMENT: &str = include_str!("../PROFILE.md");

/// The cells of the table rows whose first cell is `first` and second is `second`.
fn row(first: &str, second: &str) -> Vec<&'static str> {
    let rows: Vec<Vec<&str>> = DOCUMENT
        .lines()
        .map(|line| line.split('|').map(str::trim).skip(1).collect::<Vec<_>>())
        .filter(|cells| cells.len() > 2 && cells[0] == first && cells[1] == second)
        .collect();
    assert_eq!(rows.len(), 1, "rows that begin with {first} and {second}");
    rows.into_iter().next().unwrap()
}

#[test]
fn identifiers() {
    for uuid in [profile::SERVICE, profile::LIVE, profile::STATUS, profile::NAMEPLATE] {
        assert!(DOCUMENT.contains(&format!("`{uuid}`")), "{uuid}");
    }
    for uuid in [profile::MAKER, profile::MODEL, profile::SERIAL, profile::FIRMWARE, profile::HARDWARE] {
        let short = uuid.to_string()[4..8].to_uppercase();
        assert!(DOCUMENT.contains(&format!("`{short}`")), "{short}");
        assert!(uuid.to_string().ends_with("-0000-1000-8000-00805f9b34fb"), "the SIG's base");
    }
}

#[test]
fn channels() {
    for (bit, channel) in Channel::ALL.into_iter().enumerate() {
        let cells = row(&bit.to_string(), channel.code());
        let f = field(channel);
        assert_eq!(cells[2], format!("{}{}", if f.signed { 's' } else { 'u' }, 8 * f.width));
        let (number, unit) = cells[3].split_once(' ').unwrap();
        let number = number
            .strip_prefix("1/")
            .map_or_else(|| number.parse::<f64>().unwrap(), |below| 1.0 / below.parse::<f64>().unwrap());
        let to_channel_unit = match (unit, channel.unit()) {
            (a, b) if a == b => 1.0,
            ("L/s", "m3/h") => 3.6,
            ("Pa", "kPa") => 0.001,
            other => panic!("{channel:?}: {other:?}"),
        };
        assert!((f.resolution() / (number * to_channel_unit) - 1.0).abs() < 1e-12, "{channel:?}");
    }
}

#[test]
fn states_and_flags() {
    for (raw, state) in PumpState::ALL.into_iter().enumerate() {
        row(&raw.to_string(), state.code());
    }
    for flag in Flag::ALL {
        row(&(flag as u8).to_string(), flag.code());
    }
}

#[test]
fn lengths_and_bounds() {
    assert!(DOCUMENT.contains(&format!("| {HEAD_LEN}... | | the fields")));
    assert!(DOCUMENT.contains(&format!("At most {MAX_LEN} bytes")));
    assert!(DOCUMENT.contains(&format!("connection; {} bytes, so", status::LEN)));
    assert!(DOCUMENT.contains(&format!("connection; {} bytes. Later", nameplate::LEN)));
    let policy = Policy::default();
    assert!(DOCUMENT.contains(&format!("not before {} s", policy.silence_ms / 1000)));
    assert_eq!(policy.silence_periods, 5);
    assert!(DOCUMENT.contains(&format!(
        "more than {} notifications a second | drops the surplus; after {} s",
        policy.notifications_per_s.unwrap(),
        policy.flood_s
    )));
}

#[test]
fn examples() {
    for name in ["live_full", "live_full_mtu23", "nameplate", "status"] {
        for bytes in rows(name) {
            let hex = to_hex(&bytes);
            assert!(DOCUMENT.lines().any(|line| line == hex), "{name}: {hex}");
        }
    }
    assert_eq!(rows("live_full")[0].len(), 65);
}
