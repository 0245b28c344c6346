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
        let better = match p.cause() {
            Cause::ReversedRotation => 0.96,
            _ => 0.02,
        };
        vec![Foreseen::yes(better)]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        let grew = |before: &str, after: &str, least: f64| {
            let (b, a) = (made.number(before)?, made.number(after)?);
            Some(f64::from(u8::from(a > 1.3 * b + least)))
        };
        vec![
            grew("flow_before_m3_h", "flow_after_m3_h", 0.1)
                .or_else(|| grew("kpa_before", "kpa_after", 20.0)),
        ]
    }
}
