//! Helical-rotor pump end: a fixed volume a turn, less what slips back.

use std::f64::consts::TAU;

use crate::constants::G_M_S2;
use crate::pump::{PumpCondition, Rotation};

/// Helical-rotor (progressing-cavity) pump end.
///
/// Equation: Q = V n - k H; T = V rho g H / (2 pi) + T_friction.
/// Symbols: V displacement, cm3 a turn; n rpm; k slip, m3/h per m; H head, m.
/// Limits: slip linear in head and independent of speed (as new); friction independent of speed.
/// Source: standard Moineau geometry; friction and break-away are common practice, no single source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HelicalRotor {
    /// Speed that the data stand for, rpm.
    pub rated_rpm: f64,
    /// Displacement, cm3 a turn.
    pub displacement_cm3: f64,
    /// Leakage back, m3/h per m of head.
    pub slip_m3h_per_m: f64,
    /// Friction of the rotor in the stator, running, N m.
    pub friction_nm: f64,
    /// Torque to break away, N m.
    pub break_away_nm: f64,
    /// Density of the water, kg/m3.
    pub density_kg_m3: f64,
}

impl HelicalRotor {
    /// Flow without any slip at `rpm`, m3/h.
    pub fn swept_m3_h(&self, rpm: f64, c: &PumpCondition) -> f64 {
        if c.moves_nothing() || c.rotation == Rotation::Reversed {
            return 0.0;
        }
        self.displacement_cm3 * c.size_ratio * rpm * 60e-6 * (1.0 - c.blockage)
    }

    /// Leakage back, m3/h per m of head. Wear is given as the share of volume lost at rated speed and
    /// `site_head_m`.
    pub fn slip(&self, c: &PumpCondition, site_head_m: f64) -> f64 {
        let rated = self.displacement_cm3 * c.size_ratio * self.rated_rpm * 60e-6;
        self.slip_m3h_per_m * c.size_ratio + c.wear * rated / site_head_m.max(5.0)
    }

    /// Shaft torque at a head, N m.
    pub fn torque_nm(&self, head_m: f64, c: &PumpCondition) -> f64 {
        if c.uncoupled {
            return 0.0;
        }
        if let Some(share) = c.dry_torque_share {
            return share * self.friction_nm;
        }
        match c.rotation {
            Rotation::Reversed => self.friction_nm / c.efficiency_ratio,
            Rotation::Forward => {
                let v_m3 = self.displacement_cm3 * c.size_ratio * 1e-6;
                // worn clearances rub less
                let friction = self.friction_nm * (1.0 - 0.5 * c.wear);
                (v_m3 * self.density_kg_m3 * G_M_S2 * head_m.max(0.0) / TAU + friction) / c.efficiency_ratio
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Derived from Moineau geometry: 12 cm3 a turn, 1500 rpm: 1.080 m3/h; at 10 bar 1.90986 N m.
    #[test]
    fn geometry_check_values() {
        let p = HelicalRotor {
            rated_rpm: 1500.0,
            displacement_cm3: 12.0,
            slip_m3h_per_m: 0.0,
            friction_nm: 0.0,
            break_away_nm: 0.0,
            density_kg_m3: 1000.0,
        };
        let c = PumpCondition::default();
        assert!((p.swept_m3_h(1500.0, &c) - 1.080).abs() < 1e-12);
        let head_of_10_bar = 1e6 / (1000.0 * G_M_S2);
        assert!((p.torque_nm(head_of_10_bar, &c) - 1.90986).abs() < 1e-5);
    }
}
