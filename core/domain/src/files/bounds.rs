//! The bounds of every number in a record: path, human name, unit, lowest and highest possible value.
//!
//! One table, so that a refusal explains itself and a form can say the same. The ranges are wide on
//! purpose: they catch what no borehole pump system can be, not what is merely unusual (engineering
//! judgement; common practice, no single source).

/// Bound of one number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// Path in the record; `[]` is any index, `*` any key.
    pub path: &'static str,
    /// What a person calls it.
    pub name: &'static str,
    /// Unit; empty for a ratio or a count.
    pub unit: &'static str,
    /// Lowest possible value.
    pub min: f64,
    /// Highest possible value.
    pub max: f64,
}

const fn b(path: &'static str, name: &'static str, unit: &'static str, min: f64, max: f64) -> Bound {
    Bound { path, name, unit, min, max }
}

/// Every number that a record can hold, except `schema`.
#[rustfmt::skip]
pub const BOUNDS: &[Bound] = &[
    b("site.latitude_deg", "latitude, north positive,", "deg", -90.0, 90.0),
    b("site.longitude_deg", "longitude, east positive,", "deg", -180.0, 180.0),
    b("site.altitude_m", "altitude", "m", -450.0, 6000.0),
    b("site.air_min_c", "coldest air", "degC", -60.0, 50.0),
    b("site.air_max_c", "hottest air", "degC", -40.0, 60.0),
    b("site.irradiation_kwh_m2_day[]", "irradiation in the array's plane", "kWh/m2 a day", 0.0, 14.0),
    b("site.air_day_c[]", "mean day air temperature", "degC", -60.0, 55.0),
    b("well.casing_inner_mm", "inner diameter of the casing", "mm", 25.0, 5000.0),
    b("well.depth_m", "depth of the well", "m", 0.5, 2000.0),
    b("well.intake_depth_m", "depth of the pump's intake below the wellhead", "m", 0.5, 1000.0),
    b("well.static_level_m", "resting water level below the wellhead", "m", -5.0, 1000.0),
    b("well.drawdown_b_m_per_m3h", "linear drawdown coefficient B", "m per m3/h", 0.0, 1000.0),
    b("well.drawdown_c_m_per_m3h2", "quadratic drawdown coefficient C", "m per (m3/h)^2", 0.0, 1000.0),
    b("well.drawdown_at_min", "pumping time that B and C stand for", "minutes", 1.0, 525600.0),
    b("well.water_c", "water temperature", "degC", 0.0, 90.0),
    b("delivery.riser_length_m", "length of the riser", "m", 0.5, 1500.0),
    b("delivery.riser_inner_mm", "inner diameter of the riser", "mm", 5.0, 500.0),
    b("delivery.riser_outer_mm", "outer diameter of the riser", "mm", 5.0, 600.0),
    b("delivery.pipe_rating_kpa", "pressure rating of the pipe", "kPa", 50.0, 20000.0),
    b("delivery.surface_length_m", "length of the surface pipe", "m", 0.0, 50000.0),
    b("delivery.surface_inner_mm", "inner diameter of the surface pipe", "mm", 5.0, 1000.0),
    b("delivery.fittings_k", "sum of loss coefficients of the fittings", "", 0.0, 10000.0),
    b("delivery.outlet_height_m", "height of the outlet above the wellhead", "m", -500.0, 1000.0),
    b("pump.rated_rpm", "rated speed of the pump", "rpm", 100.0, 30000.0),
    b("pump.curve[][0]", "flow of a curve point", "m3/h", 0.0, 500.0),
    b("pump.curve[][1]", "head of a curve point", "m", 0.0, 1000.0),
    b("pump.curve[][2]", "efficiency of a curve point", "", 0.0, 1.0),
    b("pump.npsh_required_m", "required NPSH", "m", 0.0, 30.0),
    b("pump.shutoff_power_share", "shaft power at no flow over that at the best point", "", 0.0, 2.0),
    b("pump.displacement_cm3_per_rev", "displacement", "cm3 a revolution", 0.1, 10000.0),
    b("pump.slip_m3h_per_m", "leakage back", "m3/h per m", 0.0, 10.0),
    b("pump.friction_torque_nm", "friction torque of rotor in stator", "N m", 0.0, 500.0),
    b("pump.break_away_torque_nm", "break-away torque", "N m", 0.0, 1000.0),
    b("motor.pole_pairs", "number of pole pairs", "", 1.0, 30.0),
    b("motor.ke_v_rms_ll_per_krpm", "back-EMF constant", "V rms line to line per 1000 rpm", 0.5, 2000.0),
    b("motor.line_resistance_ohm", "resistance between two motor leads", "ohm", 0.001, 500.0),
    b("motor.rated_a_rms", "rated motor current", "A rms", 0.1, 500.0),
    b("motor.no_load_torque_nm", "no-load torque", "N m", 0.0, 100.0),
    b("motor.inductance_mh_ll", "inductance line to line", "mH", 0.001, 1000.0),
    b("motor.outer_mm", "outer diameter of the motor", "mm", 20.0, 600.0),
    b("motor.min_cooling_m_s", "least water speed past the motor", "m/s", 0.0, 5.0),
    b("cable.length_m", "length of the drop cable", "m", 0.5, 3000.0),
    b("cable.joints[].depth_m", "depth of the joint below the wellhead", "m", 0.0, 1005.0),
    b("array.series", "number of modules in series", "", 1.0, 100.0),
    b("array.strings", "number of strings in parallel", "", 1.0, 500.0),
    b("array.tilt_deg", "tilt from level", "deg", 0.0, 90.0),
    b("array.azimuth_deg", "azimuth clockwise from true north", "deg", 0.0, 360.0),
    b("array.albedo", "reflectance of the ground", "", 0.0, 1.0),
    b("array.horizon[][0]", "azimuth of a horizon point", "deg", 0.0, 360.0),
    b("array.horizon[][1]", "elevation of a horizon point", "deg", 0.0, 90.0),
    b("array.module.cells", "number of cells in a module", "", 1.0, 400.0),
    b("array.module.substrings", "number of bypassed groups in a module", "", 1.0, 24.0),
    b("array.module.isc_a", "module short-circuit current", "A", 0.05, 60.0),
    b("array.module.voc_v", "module open-circuit voltage", "V", 0.5, 400.0),
    b("array.module.imp_a", "module current at maximum power", "A", 0.05, 60.0),
    b("array.module.vmp_v", "module voltage at maximum power", "V", 0.5, 400.0),
    b("array.module.alpha_isc_a_per_k", "temperature coefficient of the short-circuit current", "A/K", -0.05, 0.1),
    b("array.module.beta_voc_v_per_k", "temperature coefficient of the open-circuit voltage", "V/K", -3.0, 0.0),
    b("array.module.gamma_pmp_pct_per_k", "temperature coefficient of the power", "%/K", -1.5, 0.0),
    b("array.module.noct_c", "nominal operating cell temperature", "degC", 20.0, 90.0),
    b("array.module.max_system_v", "highest system voltage of the module", "V", 20.0, 3000.0),
    b("dc_cable.length_m", "one-way length of the DC cable", "m", 0.0, 5000.0),
    b("controller.efficiency", "efficiency of the controller", "", 0.3, 1.0),
    b("controller.min_v", "lowest DC voltage of the controller", "V", 1.0, 1500.0),
    b("controller.max_v", "highest DC voltage of the controller", "V", 1.0, 1500.0),
    b("controller.max_power_w", "power limit of the controller", "W", 1.0, 1e6),
    b("controller.max_phase_a_rms", "phase current limit of the controller", "A rms", 0.1, 500.0),
    b("controller.min_rpm", "lowest speed", "rpm", 0.0, 30000.0),
    b("controller.max_rpm", "highest speed", "rpm", 50.0, 30000.0),
    b("controller.derate_from_c", "heat-sink temperature from which the controller holds back", "degC", 20.0, 150.0),
    b("protection.dry_probe_depth_m", "depth of the dry-run probe", "m", 0.0, 1000.0),
    b("sensors.*.accuracy_pct", "accuracy of the sensor (1 sigma)", "% of reading", 0.001, 50.0),
    b("sensors.*.accuracy_k", "accuracy of the sensor (1 sigma)", "K", 0.001, 20.0),
    b("sensors.*.accuracy_m", "accuracy of the sensor (1 sigma)", "m", 0.0001, 20.0),
    b("tank.volume_m3", "volume of the tank", "m3", 0.01, 1e6),
    b("demand.litres_per_day[]", "demand", "litres a day", 0.0, 1e8),
];

impl Bound {
    /// The bound of the number at `path` (`pump.curve[3][1]`), if the table holds it.
    pub fn of(path: &str) -> Option<&'static Bound> {
        BOUNDS.iter().find(|b| matches(b.path, path))
    }

    /// What is allowed, as said in a refusal.
    pub fn allowed(&self) -> String {
        let unit = if self.unit.is_empty() { String::new() } else { format!(" {}", self.unit) };
        format!("the {} must be {} to {}{unit}", self.name, self.min, self.max)
    }

    /// What is wrong with `value`, if anything.
    pub fn problem(&self, value: f64) -> Option<String> {
        if !value.is_finite() {
            Some(format!(
                "{} is not a finite number",
                if value.is_nan() { "nan".into() } else { value.to_string() }
            ))
        } else if value < 0.0 && self.min >= 0.0 {
            Some(format!("{value} is negative"))
        } else if value < self.min {
            Some(format!("{value} is too small"))
        } else if value > self.max {
            Some(format!("{value} is too large"))
        } else {
            None
        }
    }
}

fn matches(pattern: &str, path: &str) -> bool {
    let cut = |s: &'static str| move |c: char| s.contains(c);
    let (mut p, mut q) = (pattern.split(cut(".[")), path.split(cut(".[")));
    loop {
        match (p.next(), q.next()) {
            (None, None) => return true,
            (Some("*"), Some(key)) if !key.ends_with(']') => {}
            (Some("]"), Some(index)) if index.ends_with(']') => {}
            (Some(a), Some(b)) if a == b => {}
            _ => return false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_finds_its_bound() {
        assert_eq!(Bound::of("pump.curve[3][1]").unwrap().unit, "m");
        assert_eq!(Bound::of("cable.joints[12].depth_m").unwrap().min, 0.0);
        assert_eq!(Bound::of("sensors.module_c.accuracy_k").unwrap().unit, "K");
        assert_eq!(Bound::of("demand.litres_per_day[11]").unwrap().name, "demand");
        assert_eq!((Bound::of("pump.curve[3]"), Bound::of("sensors[1].accuracy_k")), (None, None));
    }

    #[test]
    fn every_bound_is_a_range_with_a_name() {
        for bound in BOUNDS {
            assert!(bound.min < bound.max && !bound.name.is_empty(), "{bound:?}");
            assert_eq!(BOUNDS.iter().filter(|b| b.path == bound.path).count(), 1, "{bound:?}");
        }
    }
}
