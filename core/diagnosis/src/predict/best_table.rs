//! The best point of an array in one condition, tabulated over irradiance and temperature.
//!
//! Voltage and power of the best point are nearly straight in temperature, and their logarithms in that of the
//! irradiance, so a few nodes stand for thousands of curves.

use wellwright_physics::array::ArrayCurve;
use wellwright_physics::module::Point;
use wellwright_physics::plant::{ArrayCondition, Plant};

/// Nodes of irradiance, W/m2.
const IRRADIANCE: [f64; 6] = [50.0, 110.0, 240.0, 480.0, 850.0, 1400.0];

/// Nodes of cell temperature, degC.
const CELL_C: [f64; 2] = [20.0, 65.0];

/// Voltage and power at the nodes.
pub struct BestTable {
    v: [[f64; CELL_C.len()]; IRRADIANCE.len()],
    p: [[f64; CELL_C.len()]; IRRADIANCE.len()],
}

impl BestTable {
    /// Tabulates the peak that the controller holds: the highest, or the one at the highest voltage when the
    /// condition says that it is caught there.
    pub fn new(plant: &Plant, c: &ArrayCondition) -> BestTable {
        let mut table = BestTable {
            v: [[0.0; CELL_C.len()]; IRRADIANCE.len()],
            p: [[0.0; CELL_C.len()]; IRRADIANCE.len()],
        };
        for (k, g) in IRRADIANCE.iter().enumerate() {
            for (l, t) in CELL_C.iter().enumerate() {
                let held = peak(&plant.array.curve(*g, *t, c), c);
                table.v[k][l] = held.v;
                table.p[k][l] = held.p;
            }
        }
        table
    }

    /// Best point at an irradiance and cell temperature.
    pub fn best(&self, irradiance_w_m2: f64, cell_c: f64) -> Point {
        let x = irradiance_w_m2.max(1.0).ln();
        let k = IRRADIANCE[1..IRRADIANCE.len() - 1].iter().filter(|g| g.ln() < x).count();
        let (a, b) = (IRRADIANCE[k].ln(), IRRADIANCE[k + 1].ln());
        let u = (x - a) / (b - a);
        let w = (cell_c - CELL_C[0]) / (CELL_C[1] - CELL_C[0]);
        let at = |table: &[[f64; CELL_C.len()]; IRRADIANCE.len()]| {
            let warm = |k: usize| (table[k][0] + w * (table[k][1] - table[k][0])).max(1e-3).ln();
            (warm(k) + u * (warm(k + 1) - warm(k))).exp()
        };
        let (v, p) = (at(&self.v), at(&self.p));
        Point { v, i: p / v, p }
    }
}

fn peak(curve: &ArrayCurve, c: &ArrayCondition) -> Point {
    if c.shade.is_some_and(|s| s.right_peak) {
        curve.maxima().into_iter().last().unwrap_or(Point { v: 0.0, i: 0.0, p: 0.0 })
    } else {
        curve.best()
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
        let table = BestTable::new(&plant, &c);
        for g in [120.0, 400.0, 850.0, 1050.0] {
            for t in [10.0, 45.0, 75.0] {
                let exact = plant.array.curve(g, t, &c).best();
                let near = table.best(g, t);
                assert!((near.p / exact.p - 1.0).abs() < 0.005, "{g} {t}: {near:?} {exact:?}");
                assert!((near.v / exact.v - 1.0).abs() < 0.005, "{g} {t}: {near:?} {exact:?}");
            }
        }
    }
}
