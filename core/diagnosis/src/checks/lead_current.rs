//! The three leads clamped at steady speed: their mean, and how far the least lies below it.

use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct LeadCurrent;

impl CheckModel for LeadCurrent {
    fn check(&self) -> Check {
        Check::LeadCurrent
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let Some(load) = p.load() else { return Vec::new() };
        let shape = p.hypothesis.unbalance.unwrap_or(load.motor.unbalance);
        let least = shape.into_iter().fold(f64::INFINITY, f64::min);
        let loose = 0.08f64.hypot(p.hypothesis.loose_electrical);
        vec![
            Foreseen::Number { mean: load.motor.phase_a.max(0.01).ln(), sigma: loose },
            Foreseen::Number { mean: least, sigma: 0.03f64.hypot(0.3 * (1.0 - least)) },
        ]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        let amps = [made.number("u_a"), made.number("v_a"), made.number("w_a")];
        let [Some(u), Some(v), Some(w)] = amps else { return vec![None, None] };
        let mean = (u + v + w) / 3.0;
        if mean <= 0.0 {
            return vec![Some(0.01f64.ln()), None];
        }
        vec![Some(mean.max(0.01).ln()), Some(u.min(v).min(w) / mean)]
    }

    fn while_running(&self) -> bool {
        true
    }

    fn unit(&self) -> Option<(&'static str, bool)> {
        Some(("A", true))
    }
}
