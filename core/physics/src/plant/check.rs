//! Is every number of a record within what a borehole pump system can have?
//!
//! Files are checked when they are read; a record made in memory comes here unchecked. The bounds are those
//! of the record's own table.

use wellwright_domain::files::bounds::BOUNDS;
use wellwright_domain::record::System;

use crate::error::{PhysicsError, in_range};

/// The first number outside its bound, as an error that names the field.
pub(super) fn check(s: &System) -> Result<(), PhysicsError> {
    for (path, value) in numbers(s) {
        if let (Some(v), Some(b)) = (value, BOUNDS.iter().find(|b| b.path == path)) {
            in_range(b.path, b.unit, v, b.min, b.max)?;
        }
    }
    below(
        "controller.min_rpm",
        s.controller.min_rpm,
        s.controller.max_rpm,
        "it must not be above controller.max_rpm",
    )?;
    below("controller.min_v", s.controller.min_v, s.controller.max_v, "it must not be above controller.max_v")
}

fn below(
    what: &'static str,
    low: Option<f64>,
    high: Option<f64>,
    why: &'static str,
) -> Result<(), PhysicsError> {
    match (low, high) {
        (Some(low), Some(high)) if low > high => Err(PhysicsError::CannotFit { what, why }),
        _ => Ok(()),
    }
}

/// Every number that the arithmetic uses, with its path.
fn numbers(s: &System) -> Vec<(&'static str, Option<f64>)> {
    let count = |n: Option<u32>| n.map(f64::from);
    let (w, d, p, m, c) = (&s.well, &s.delivery, &s.pump, &s.motor, &s.controller);
    let (a, panel) = (&s.array, &s.array.module);
    let mut all = vec![
        ("site.latitude_deg", Some(s.site.latitude_deg)),
        ("site.longitude_deg", Some(s.site.longitude_deg)),
        ("site.altitude_m", Some(s.site.altitude_m)),
        ("well.casing_inner_mm", w.casing_inner_mm),
        ("well.intake_depth_m", Some(w.intake_depth_m)),
        ("well.static_level_m", w.static_level_m),
        ("well.drawdown_b_m_per_m3h", w.drawdown_b_m_per_m3h),
        ("well.drawdown_c_m_per_m3h2", w.drawdown_c_m_per_m3h2),
        ("well.drawdown_at_min", w.drawdown_at_min),
        ("well.water_c", w.water_c),
        ("delivery.riser_length_m", d.riser_length_m),
        ("delivery.riser_inner_mm", d.riser_inner_mm),
        ("delivery.surface_length_m", d.surface_length_m),
        ("delivery.surface_inner_mm", d.surface_inner_mm),
        ("delivery.fittings_k", d.fittings_k),
        ("delivery.outlet_height_m", d.outlet_height_m),
        ("pump.rated_rpm", p.rated_rpm),
        ("pump.shutoff_power_share", p.shutoff_power_share),
        ("pump.displacement_cm3_per_rev", p.displacement_cm3_per_rev),
        ("pump.slip_m3h_per_m", p.slip_m3h_per_m),
        ("pump.friction_torque_nm", p.friction_torque_nm),
        ("pump.break_away_torque_nm", p.break_away_torque_nm),
        ("motor.pole_pairs", count(m.pole_pairs)),
        ("motor.ke_v_rms_ll_per_krpm", m.ke_v_rms_ll_per_krpm),
        ("motor.line_resistance_ohm", m.line_resistance_ohm),
        ("motor.rated_a_rms", m.rated_a_rms),
        ("motor.no_load_torque_nm", m.no_load_torque_nm),
        ("motor.inductance_mh_ll", m.inductance_mh_ll),
        ("cable.length_m", s.cable.length_m),
        ("array.series", count(a.series)),
        ("array.strings", count(a.strings)),
        ("array.tilt_deg", a.tilt_deg),
        ("array.azimuth_deg", a.azimuth_deg),
        ("array.albedo", a.albedo),
        ("array.module.cells", count(panel.cells)),
        ("array.module.substrings", count(panel.substrings)),
        ("array.module.isc_a", panel.isc_a),
        ("array.module.voc_v", panel.voc_v),
        ("array.module.imp_a", panel.imp_a),
        ("array.module.vmp_v", panel.vmp_v),
        ("array.module.alpha_isc_a_per_k", panel.alpha_isc_a_per_k),
        ("array.module.beta_voc_v_per_k", panel.beta_voc_v_per_k),
        ("array.module.gamma_pmp_pct_per_k", panel.gamma_pmp_pct_per_k),
        ("array.module.noct_c", panel.noct_c),
        ("dc_cable.length_m", s.dc_cable.length_m),
        ("controller.efficiency", c.efficiency),
        ("controller.min_v", c.min_v),
        ("controller.max_v", c.max_v),
        ("controller.max_power_w", c.max_power_w),
        ("controller.max_phase_a_rms", c.max_phase_a_rms),
        ("controller.min_rpm", c.min_rpm),
        ("controller.max_rpm", c.max_rpm),
        ("controller.derate_from_c", c.derate_from_c),
    ];
    for row in p.curve.iter().flatten() {
        all.extend([
            ("pump.curve[][0]", Some(row[0])),
            ("pump.curve[][1]", Some(row[1])),
            ("pump.curve[][2]", Some(row[2])),
        ]);
    }
    for point in a.horizon.iter().flatten() {
        all.extend([("array.horizon[][0]", Some(point[0])), ("array.horizon[][1]", Some(point[1]))]);
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use wellwright_domain::examples::kestrel_hollow;

    #[test]
    fn every_number_has_a_bound() {
        for (path, _) in numbers(&kestrel_hollow()) {
            assert!(BOUNDS.iter().any(|b| b.path == path), "{path}");
        }
    }
}
