//! Gauge before the wellhead valve, running.

use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct WellheadGauge;

impl CheckModel for WellheadGauge {
    fn check(&self) -> Check {
        Check::WellheadGauge
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let Some(load) = p.load() else { return Vec::new() };
        let kpa = load.water.wellhead_kpa;
        // a column that does not move may have drained
        let drained = if load.water.pump_m3_h <= 1e-6 && kpa < 200.0 { 0.35 * kpa } else { 0.0 };
        vec![Foreseen::Number { mean: kpa, sigma: (0.06 * kpa + 6.0).hypot(drained) }]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![made.number("kpa")]
    }

    fn while_running(&self) -> bool {
        true
    }

    fn unit(&self) -> Option<(&'static str, bool)> {
        Some(("kPa", false))
    }
}
