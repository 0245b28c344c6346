//! Resistance of the three lead pairs at the controller end: the lowest, and the highest over the lowest.
//! An open lead leaves two pairs open (1e6 ohm); a bad joint raises two pairs; a thin cable raises all three.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct LeadResistance;

impl CheckModel for LeadResistance {
    fn check(&self) -> Check {
        Check::LeadResistance
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let lead = &p.plant.condition.lead;
        let phase = p.plant.motor.phase_ohm + p.plant.cable_ohm * lead.cable_ratio;
        // the model is warm, the measurement colder
        let low = (2.0 * phase / 1.08).max(1e-3);
        let high = if p.cause() == Cause::OpenPhase { 1e6 } else { low + lead.one_lead_ohm };
        vec![
            Foreseen::Number { mean: low.ln(), sigma: 0.08 },
            Foreseen::Number { mean: (high / low).ln(), sigma: 0.025f64.hypot(0.1 * (high / low).ln()) },
        ]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        let pairs = [made.number("uv_ohm"), made.number("vw_ohm"), made.number("wu_ohm")];
        let [Some(a), Some(b), Some(c)] = pairs else { return vec![None, None] };
        let low = a.min(b).min(c).max(1e-3);
        let high = a.max(b).max(c).max(1e-3);
        vec![Some(low.ln()), Some((high / low).ln())]
    }

    fn unit(&self) -> Option<(&'static str, bool)> {
        Some(("ohm", true))
    }
}
