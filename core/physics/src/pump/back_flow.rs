//! A pump that stands while water runs back through it: what a leaking check valve lets down the riser.
//!
//! Only as far as the published complete characteristics go: a centrifugal end held still, or free to spin
//! as a turbine. A helical rotor seals; what passes it is its slip.

use std::f64::consts::PI;

use super::Centrifugal;
use crate::suter::{homologous, suter};

/// What the shaft does while water runs back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rotor {
    /// Held: the motor's leads are shorted or the pump is stuck.
    Held,
    /// Turns freely: the leads are open, no torque.
    Free,
}

/// Angle theta in the turbine quadrant at which the free shaft takes no torque: where WB changes its sign
/// between rows 7 and 8 of the published table.
fn free_theta() -> f64 {
    let step = 2.0 * PI / 88.0;
    let (before, after) = (suter(7.0 * step).1, suter(8.0 * step).1);
    (7.0 + before / (before - after)) * step
}

impl Centrifugal {
    /// Head and shaft torque in all four quadrants, m and N m.
    ///
    /// # Equation
    /// H = h(alpha, v) H_best, T = beta(alpha, v) T_best; see [`homologous`].
    ///
    /// # Symbols
    /// n `rpm`, negative: reversed; Q `flow_m3_h`, negative: back through the pump.
    ///
    /// # Limits
    /// The shape of one radial pump, 15 % of doubt; forwards use [`Centrifugal::head_m`], which follows the
    /// record's own curve.
    ///
    /// # Source
    /// Donsky (1961), Wylie and Streeter: [`crate::suter`].
    pub fn four_quadrants(&self, rpm: f64, flow_m3_h: f64) -> (f64, f64) {
        let (h, beta) = homologous(rpm / self.rated_rpm(), flow_m3_h / self.best_flow_m3_h());
        (h * self.best_head_m(), beta * self.best_torque_nm())
    }

    /// Flow back through the standing pump under a head, m3/h, and the speed of the shaft, rpm (negative:
    /// backwards).
    ///
    /// # Equation
    /// Held: H = 0.692 H_best (Q/Q_best)^2 (alpha = 0). Free: the angle at which WB = 0, where WH is 0.567.
    ///
    /// # Symbols
    /// H `head_m` across the pump, m, 0 or more (less counts as 0).
    ///
    /// # Limits, source
    /// As [`Centrifugal::four_quadrants`]. Friction of seal and bearings is left out: a small head may not
    /// turn the shaft at all.
    pub fn back_flow_m3_h(&self, head_m: f64, rotor: Rotor) -> (f64, f64) {
        let theta = match rotor {
            Rotor::Held => 0.5 * PI,
            Rotor::Free => free_theta(),
        };
        let size = (head_m.max(0.0) / self.best_head_m() / suter(theta).0).sqrt();
        // theta = pi + atan2(v, alpha)
        let (v, alpha) = (theta - PI).sin_cos();
        let turns = if rotor == Rotor::Held { 0.0 } else { size * alpha * self.rated_rpm() };
        (-size * v * self.best_flow_m3_h(), turns)
    }

    /// Time for the water in a riser to run back through the standing pump, minutes.
    ///
    /// # Equation
    /// A dz/dt = -Q(z), Q = k sqrt(z): t = 2 A (sqrt(z0) - sqrt(z1))/k.
    ///
    /// # Symbols
    /// A by `inner_mm` of the riser; z0 `from_m`, z1 `to_m` height of the water in the riser over that in the
    /// well, m, `from_m` >= `to_m` >= 0; `rotor`; `valve_share` the check valve's leaking opening, as a share
    /// of what the pump alone would pass (1: no valve), more than 0.
    ///
    /// # Limits
    /// Quasi-steady; friction of the riser left out (it is short against the pump's own resistance). With a
    /// leak the time is at least this long.
    ///
    /// # Source
    /// Torricelli's integral with the resistance of [`Centrifugal::back_flow_m3_h`].
    pub fn drain_min(&self, inner_mm: f64, from_m: f64, to_m: f64, rotor: Rotor, valve_share: f64) -> f64 {
        let area_m2 = 0.25 * PI * (inner_mm / 1000.0).powi(2);
        let k = valve_share * self.back_flow_m3_h(1.0, rotor).0;
        2.0 * area_m2 * (from_m.max(0.0).sqrt() - to_m.max(0.0).sqrt()) / k * 60.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pump() -> Centrifugal {
        let rows = [[0.0, 78.0, 0.0], [2.4, 70.0, 0.50], [3.6, 61.0, 0.56], [5.6, 34.0, 0.42]];
        Centrifugal::new(3000.0, &rows, 0.5, 998.2).unwrap()
    }

    /// Donsky 1961, tabulated in Wylie & Streeter, *Fluid Transients*: WH(theta = pi/2) = 0.692.
    #[test]
    fn held_shaft_as_published() {
        let p = pump();
        let (q, turns) = p.back_flow_m3_h(61.0 * 0.692, Rotor::Held);
        assert!((q / 3.6 - 1.0).abs() < 1e-12 && turns == 0.0);
        assert!((p.four_quadrants(0.0, -q).0 - 61.0 * 0.692).abs() < 1e-9);
    }

    /// The same table: between theta of rows 7 and 8 the torque changes its sign.
    #[test]
    fn a_free_shaft_spins_backwards_without_torque() {
        let p = pump();
        let (q, turns) = p.back_flow_m3_h(30.0, Rotor::Free);
        assert!(turns < 0.0 && q > 0.0);
        let (head, torque) = p.four_quadrants(turns, -q);
        assert!((head - 30.0).abs() < 1e-9, "{head}");
        assert!(torque.abs() < 1e-9 * p.best_torque_nm(), "{torque}");
    }

    #[test]
    fn the_riser_runs_empty_the_slower_the_tighter_the_valve() {
        let p = pump();
        let open = p.drain_min(32.6, 40.0, 0.0, Rotor::Free, 1.0);
        // the volume over the mean flow, which is half the first
        let (first, _) = p.back_flow_m3_h(40.0, Rotor::Free);
        let volume = 0.25 * PI * 0.0326f64.powi(2) * 40.0;
        assert!((open - volume / (0.5 * first) * 60.0).abs() < 1e-9);
        assert!((p.drain_min(32.6, 40.0, 0.0, Rotor::Free, 0.1) - 10.0 * open).abs() < 1e-9);
        assert_eq!(p.drain_min(32.6, 0.0, 0.0, Rotor::Held, 1.0), 0.0);
    }
}
