//! The peaks of an array in one condition, tabulated over irradiance and temperature.
//!
//! Voltage and power of a peak are nearly straight in temperature, and their logarithms gently curved in that of
//! the irradiance, so a few nodes stand for thousands of curves.

use wellwright_physics::module::Point;
use wellwright_physics::plant::{ArrayCondition, Plant};

/// Nodes of irradiance, W/m2.
const IRRADIANCE: [f64; 4] = [60.0, 180.0, 500.0, 1200.0];

/// Nodes of cell temperature, degC.
const CELL_C: [f64; 2] = [20.0, 65.0];

type Nodes = [[f64; CELL_C.len()]; IRRADIANCE.len()];

/// One peak over irradiance and temperature.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PeakTable {
    v: Nodes,
    p: Nodes,
}

/// The two peaks at which a controller may be found.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Peaks {
    /// The highest.
    pub best: PeakTable,
    /// The one at the highest voltage, where a controller that does not search is caught.
    pub right: PeakTable,
}

impl Peaks {
    /// Tabulates an array; which peak its condition names does not matter.
    pub fn new(plant: &Plant, c: &ArrayCondition) -> Peaks {
        let mut peaks = Peaks::default();
        for (k, g) in IRRADIANCE.iter().enumerate() {
            for (l, t) in CELL_C.iter().enumerate() {
                let all = plant.array.curve(*g, *t, c).maxima();
                let none = Point { v: 0.0, i: 0.0, p: 0.0 };
                let best = all.iter().copied().max_by(|a, b| a.p.total_cmp(&b.p)).unwrap_or(none);
                let right = all.last().copied().unwrap_or(none);
                (peaks.best.v[k][l], peaks.best.p[k][l]) = (best.v, best.p);
                (peaks.right.v[k][l], peaks.right.p[k][l]) = (right.v, right.p);
            }
        }
        peaks
    }

    /// The peak that a condition says the controller holds.
    pub fn held(&self, c: &ArrayCondition) -> &PeakTable {
        if c.shade.is_some_and(|s| s.right_peak) { &self.right } else { &self.best }
    }
}

impl PeakTable {
    /// The peak at an irradiance and cell temperature.
    pub fn at(&self, irradiance_w_m2: f64, cell_c: f64) -> Point {
        let x = irradiance_w_m2.max(1.0).ln();
        let n = IRRADIANCE.map(f64::ln);
        // Lagrange's polynomial through the nodes
        let weight =
            |k: usize| (0..n.len()).filter(|j| *j != k).map(|j| (x - n[j]) / (n[k] - n[j])).product::<f64>();
        let weights: [f64; IRRADIANCE.len()] = std::array::from_fn(weight);
        let w = (cell_c - CELL_C[0]) / (CELL_C[1] - CELL_C[0]);
        let of = |table: &Nodes| {
            let warm = |k: usize| (table[k][0] + w * (table[k][1] - table[k][0])).max(1e-3).ln();
            weights.iter().enumerate().map(|(k, share)| share * warm(k)).sum::<f64>().exp()
        };
        let (v, p) = (of(&self.v), of(&self.p));
        Point { v, i: p / v, p }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn between_the_nodes_it_is_within_half_a_per_cent() {
        let system = wellwright_domain::examples::kestrel_hollow();
        let (plant, _) = Plant::from_record(&system).unwrap();
        let c = ArrayCondition::default();
        let table = Peaks::new(&plant, &c).best;
        for g in [120.0, 400.0, 850.0, 1050.0] {
            for t in [10.0, 45.0, 75.0] {
                let exact = plant.array.curve(g, t, &c).best();
                let near = table.at(g, t);
                assert!((near.p / exact.p - 1.0).abs() < 0.005, "{g} {t}: {near:?} {exact:?}");
                assert!((near.v / exact.v - 1.0).abs() < 0.005, "{g} {t}: {near:?} {exact:?}");
            }
        }
    }
}
