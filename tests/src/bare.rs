//! Records that hold only what a record must: most wells that need help have no more.

use wellwright_domain::record::System;

/// What a record must hold, and nothing else.
///
/// # Panics
/// When that makes no record.
pub fn bare(system: &System) -> System {
    let (site, name) = (&system.site, &system.name);
    let kind = serde_json::to_value(system.pump.kind).expect("a kind has a name");
    let text = format!(
        "schema = 1\nname = {name:?}\n[site]\nlatitude_deg = {}\nlongitude_deg = {}\naltitude_m = {}\ntime_zone = {:?}\n\
         [pump]\nkind = {kind}\n[well]\nintake_depth_m = {}\n",
        site.latitude_deg, site.longitude_deg, site.altitude_m, site.time_zone, system.well.intake_depth_m
    );
    System::from_toml(&text, name).expect("what a record must hold makes one")
}
