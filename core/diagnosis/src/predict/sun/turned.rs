//! A point that the sun holds, turned round: which irradiance would make this array give the measured power?

use wellwright_physics::module::Point;

use super::{SunPoint, SunSide};
use crate::predict::peaks::PeakTable;

/// A point turned round.
pub(super) struct Turned {
    pub(super) irradiance: f64,
    pub(super) best: Point,
    /// d ln V_best / dT.
    pub(super) v_per_k: f64,
    /// d ln G / dT.
    pub(super) g_per_k: f64,
}

impl SunSide {
    /// While the sun limits: power fixes the irradiance.
    pub(super) fn by_power(&self, table: &PeakTable, p: &SunPoint) -> Turned {
        let power = p.v * p.i;
        // power goes almost with irradiance: a few steps in logarithms are exact
        let mut g = p.sensor.unwrap_or(700.0).clamp(60.0, 1300.0);
        let mut b = table.at(g, self.cell_c(p, g));
        for _ in 0..6 {
            if b.p <= 0.0 {
                break;
            }
            let next = (g * power / b.p).clamp(5.0, 4000.0);
            let done = (next / g - 1.0).abs() < 1e-4;
            g = next;
            b = table.at(g, self.cell_c(p, g));
            if done {
                break;
            }
        }
        let warm = table.at(g, self.cell_c(p, g) + 5.0);
        let v_per_k = if b.v > 0.0 { (warm.v / b.v).ln() / 5.0 } else { 0.0 };
        let g_per_k = if b.p > 0.0 { -(warm.p / b.p).ln() / 5.0 } else { 0.0 };
        Turned { irradiance: g, best: b, v_per_k, g_per_k }
    }
}
