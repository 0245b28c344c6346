//! Two motor leads exchanged at the same sun: more water means that it had turned backwards.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct SwapTwoLeads;

impl CheckModel for SwapTwoLeads {
    fn check(&self) -> Check {
        Check::SwapTwoLeads
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let was_backwards = p.cause() == Cause::ReversedRotation;
        let better = if was_backwards { 0.96 } else { 0.02 };
        // put right it gives what a healthy pump gives; put wrong, next to nothing
        let size = crate::predict::reference_flow(p.healthy);
        let after = if was_backwards { 0.85 * size } else { 0.06 * size };
        vec![
            Foreseen::yes(better),
            Foreseen::Number { mean: after, sigma: if was_backwards { 0.25 } else { 0.1 } * size },
        ]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        let grew = |before: &str, after: &str, least: f64| {
            let (b, a) = (made.number(before)?, made.number(after)?);
            Some(f64::from(u8::from(a > 1.3 * b + least)))
        };
        let better = grew("flow_before_m3_h", "flow_after_m3_h", 0.1);
        let better = better.or_else(|| grew("kpa_before", "kpa_after", 20.0));
        vec![better, made.number("flow_after_m3_h")]
    }
}
