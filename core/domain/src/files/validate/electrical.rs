//! Array, controller and added sensors.

use crate::files::Fault;
use crate::record::{SensorClass, System};

pub(super) fn check(system: &System, faults: &mut Vec<Fault>) {
    let (m, c) = (&system.array.module, &system.controller);
    below(faults, "array.module.vmp_v", m.vmp_v, "array.module.voc_v", m.voc_v, "V", false);
    below(faults, "array.module.imp_a", m.imp_a, "array.module.isc_a", m.isc_a, "A", false);
    below(faults, "controller.min_v", c.min_v, "controller.max_v", c.max_v, "V", true);
    below(faults, "controller.min_rpm", c.min_rpm, "controller.max_rpm", c.max_rpm, "rpm", true);
    let count = |n: Option<u32>| n.map(f64::from);
    below(
        faults,
        "array.module.substrings",
        count(m.substrings),
        "array.module.cells",
        count(m.cells),
        "",
        true,
    );
    horizon(system, faults);
    sensors(system, faults);
}

/// `low` must be below (or at, when `may_equal`) `high`.
fn below(
    faults: &mut Vec<Fault>,
    low_field: &str,
    low: Option<f64>,
    high_field: &str,
    high: Option<f64>,
    unit: &str,
    may_equal: bool,
) {
    let (Some(low), Some(high)) = (low, high) else { return };
    if low > high || (low == high && !may_equal) {
        let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
        let (is, must) =
            if may_equal { ("is above", "must not be above") } else { ("is not below", "must be less than") };
        faults.push(
            Fault::new(low_field, format!("{low}{unit} {is} {high_field}, {high}{unit}"))
                .allowed(format!("it {must} {high_field}")),
        );
    }
}

fn horizon(system: &System, faults: &mut Vec<Fault>) {
    let Some(points) = &system.array.horizon else { return };
    for (i, pair) in points.windows(2).enumerate() {
        if pair[1][0] <= pair[0][0] {
            faults.push(
                Fault::new(
                    format!("array.horizon[{}]", i + 1),
                    format!("azimuth {} deg does not rise from {} deg", pair[1][0], pair[0][0]),
                )
                .allowed("azimuth must rise from point to point"),
            );
        }
    }
    if let (Some(first), Some(last)) = (points.first(), points.last())
        && last[0] - first[0] >= 360.0
    {
        faults.push(
            Fault::new(
                format!("array.horizon[{}]", points.len() - 1),
                "azimuth 360 deg is the same as 0 deg",
            )
            .allowed("write one of them; the horizon wraps by itself"),
        );
    }
}

fn sensors(system: &System, faults: &mut Vec<Fault>) {
    let s = &system.sensors;
    let listed: [(&str, &Option<SensorClass>, &[&str]); 7] = [
        ("irradiance_w_m2", &s.irradiance_w_m2, &["accuracy_pct"]),
        ("module_c", &s.module_c, &["accuracy_k", "accuracy_pct"]),
        ("air_c", &s.air_c, &["accuracy_k", "accuracy_pct"]),
        ("flow_m3_h", &s.flow_m3_h, &["accuracy_pct", "at"]),
        ("wellhead_kpa", &s.wellhead_kpa, &["accuracy_pct"]),
        ("water_level_m", &s.water_level_m, &["accuracy_m", "accuracy_pct"]),
        ("tank_level_pct", &s.tank_level_pct, &["accuracy_pct"]),
    ];
    for (channel, class, allowed) in listed {
        let Some(class) = class else { continue };
        let written = [
            ("accuracy_k", class.accuracy_k.is_some()),
            ("accuracy_m", class.accuracy_m.is_some()),
            ("at", class.at.is_some()),
        ];
        for (key, _) in written.iter().filter(|(key, present)| *present && !allowed.contains(key)) {
            faults.push(
                Fault::new(format!("sensors.{channel}.{key}"), format!("`{key}` does not go with {channel}"))
                    .allowed(format!("allowed: {}", allowed.join(", "))),
            );
        }
    }
}
