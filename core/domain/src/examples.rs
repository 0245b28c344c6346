//! The two invented demo systems, as records in the form that users write.

use crate::record::System;

/// Text of Kestrel Hollow: high voltage, centrifugal, with added sensors.
pub const KESTREL_HOLLOW_TOML: &str = include_str!("../examples/kestrel-hollow.system.toml");

/// Text of Dovecote Bend: low voltage, helical rotor, long cable, no added sensors.
pub const DOVECOTE_BEND_TOML: &str = include_str!("../examples/dovecote-bend.system.toml");

/// Kestrel Hollow: high voltage, centrifugal, with added sensors.
pub fn kestrel_hollow() -> System {
    compiled_in(KESTREL_HOLLOW_TOML, "kestrel-hollow.system.toml")
}

/// Dovecote Bend: low voltage, helical rotor, long cable, no added sensors.
pub fn dovecote_bend() -> System {
    compiled_in(DOVECOTE_BEND_TOML, "dovecote-bend.system.toml")
}

fn compiled_in(text: &str, name: &str) -> System {
    System::from_toml(text, name).expect("the record compiled into the program is sound")
}
