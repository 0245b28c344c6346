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
