//! A motor that cannot turn: one lead open, or the rotor locked. And the figure for unequal currents.

use super::{Motor, ke_v_s};

/// Electrical state of a motor that stands although it is driven.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stuck {
    /// The three currents, A rms.
    pub phase_a: [f64; 3],
    /// Unbalance of the currents, % ([`unbalance_pct`]).
    pub unbalance_pct: f64,
    /// Power into the cable, W: all of it heat.
    pub cable_in_w: f64,
    /// Highest voltage between two leads, V rms.
    pub line_v: f64,
    /// Torque, N m: mean over a turn.
    pub torque_nm: f64,
}

impl Motor {
    /// Rotor locked, the controller at a phase current.
    ///
    /// # Equation
    /// n = 0: no EMF; P = 3 I^2 (R + Rc); V = sqrt(3) I (R + Rc); T = sqrt(3) Ke I held against the lock.
    ///
    /// # Symbols
    /// I `phase_a` A rms, usually the controller's limit; Rc `cable_ohm` one lead of the drop cable.
    ///
    /// # Limits
    /// Direct current in the windings: no inductive voltage. Low array power beside a high phase current is
    /// the sign.
    ///
    /// # Source
    /// Joule's law; any text on permanent-magnet machines.
    pub fn locked_rotor(&self, phase_a: f64, cable_ohm: f64) -> Stuck {
        let r = self.phase_ohm + cable_ohm;
        Stuck {
            phase_a: [phase_a; 3],
            unbalance_pct: 0.0,
            cable_in_w: 3.0 * phase_a * phase_a * r,
            line_v: 3f64.sqrt() * phase_a * r,
            torque_nm: 3f64.sqrt() * ke_v_s(self.ke_v_per_krpm) * phase_a,
        }
    }

    /// One lead open, the controller at a phase current through the two others.
    ///
    /// # Equation
    /// Currents I, -I, 0: P = 2 I^2 (R + Rc); V = 2 I (R + Rc). The field does not rotate, so the torque
    /// swings between zero and its peak with the rotor's angle and its mean over a turn is zero: no start.
    ///
    /// # Symbols, limits, source
    /// As [`Motor::locked_rotor`].
    pub fn open_phase(&self, phase_a: f64, cable_ohm: f64) -> Stuck {
        let r = self.phase_ohm + cable_ohm;
        let currents = [phase_a, phase_a, 0.0];
        Stuck {
            phase_a: currents,
            unbalance_pct: unbalance_pct(currents),
            cable_in_w: 2.0 * phase_a * phase_a * r,
            line_v: 2.0 * phase_a * r,
            torque_nm: 0.0,
        }
    }

    /// Mean torque when a lead opens while the motor runs and a current in step with the EMF goes on through
    /// the two others, N m; it swings by its own size at twice the electrical frequency.
    ///
    /// # Equation
    /// P = Ke w I with the line-to-line EMF: T = Ke I, 1/sqrt(3) of what three leads give.
    ///
    /// # Source
    /// Power of two sinusoids in phase.
    pub fn two_lead_torque_nm(&self, phase_a: f64) -> f64 {
        ke_v_s(self.ke_v_per_krpm) * phase_a
    }
}

/// Unbalance of three readings, %.
///
/// # Equation
/// 100 max|x - mean|/mean.
///
/// # Symbols
/// `x` three currents or voltages of one kind, 0 or more; all zero counts as balanced.
///
/// # Source
/// NEMA MG-1 (definition, as printed in motor manuals).
///
/// ```
/// # use wellwright_physics::motor::unbalance_pct;
/// // The worked example of several three-phase motor manuals: 51, 46, 53 A are 8.0 % apart.
/// assert!((unbalance_pct([51.0, 46.0, 53.0]) - 8.0).abs() < 1e-12);
/// ```
pub fn unbalance_pct(x: [f64; 3]) -> f64 {
    let mean = (x[0] + x[1] + x[2]) / 3.0;
    if mean <= 0.0 {
        return 0.0;
    }
    100.0 * x.iter().map(|v| (v - mean).abs()).fold(0.0, f64::max) / mean
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::motor::LeadCondition;
    use wellwright_domain::record::Drive;

    fn motor() -> Motor {
        Motor {
            pole_pairs: 2,
            ke_v_per_krpm: 30.0,
            phase_ohm: 0.5,
            phase_h: 0.001,
            no_load_nm: 0.1,
            rated_rpm: 3000.0,
            rated_a: 5.0,
        }
    }

    /// Worked examples of motor manuals and NEMA MG-1 quotations: 50, 48, 52 A are 4 % apart; 50, 49, 51 2 %;
    /// 25.5, 23.0, 26.5 8 %; 462, 463, 455 V 1.1 %; 203, 210, 212 V 2.5 % (from a rounded mean); 6, 6, 0 A
    /// 100 %.
    #[test]
    fn unbalance_as_printed() {
        for (x, printed, within) in [
            ([50.0, 48.0, 52.0], 4.0, 1e-9),
            ([50.0, 49.0, 51.0], 2.0, 1e-9),
            ([25.5, 23.0, 26.5], 8.0, 1e-9),
            ([462.0, 463.0, 455.0], 1.1, 0.05),
            ([203.0, 210.0, 212.0], 2.5, 0.1),
            ([6.0, 6.0, 0.0], 100.0, 1e-9),
            ([0.0, 0.0, 0.0], 0.0, 0.0),
        ] {
            assert!((unbalance_pct(x) - printed).abs() <= within, "{x:?}: {}", unbalance_pct(x));
        }
    }

    /// Kt of a block-commutated machine (N m/A) times its speed constant (rpm/V) is 30/pi = 9.5493 (derived).
    #[test]
    fn torque_and_speed_constants_are_one() {
        let ke = ke_v_s(30.0);
        assert!((ke * 1000.0 / 30.0 - 9.5493).abs() < 5e-5);
    }

    /// What locks the rotor is what `at` gives as the speed goes to zero under the torque of that current.
    #[test]
    fn locked_is_the_limit_of_slow() {
        let m = motor();
        let stuck = m.locked_rotor(5.0, 0.2);
        let slow = m.at(
            1e-9,
            stuck.torque_nm - m.own_torque_nm(0.0),
            0.2,
            Drive::FieldOriented,
            &LeadCondition::default(),
        );
        assert!((slow.phase_a - 5.0).abs() < 1e-9);
        assert!((slow.cable_in_w - stuck.cable_in_w).abs() < 1e-6);
        assert!((slow.line_v - stuck.line_v).abs() < 1e-6);
        assert!((stuck.cable_in_w - 3.0 * 25.0 * 0.7).abs() < 1e-12);
    }

    #[test]
    fn an_open_lead_heats_two_and_turns_nothing() {
        let stuck = motor().open_phase(5.0, 0.2);
        assert_eq!((stuck.unbalance_pct, stuck.torque_nm), (100.0, 0.0));
        assert!((stuck.cable_in_w - 2.0 * 25.0 * 0.7).abs() < 1e-12);
        assert!((motor().two_lead_torque_nm(5.0) * 3f64.sqrt() - motor().rated_torque_nm()).abs() < 1e-12);
    }
}
