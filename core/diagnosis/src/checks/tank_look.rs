//! A look into the tank: does water arrive?

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct TankLook;

impl CheckModel for TankLook {
    fn check(&self) -> Check {
        Check::TankLook
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let arrives = if p.cause() == Cause::StandingBy {
            0.1
        } else {
            let flow = p.load().map_or(0.0, |l| l.water.tank_m3_h);
            if flow > 0.05 * crate::predict::reference_flow(p.healthy) { 0.96 } else { 0.04 }
        };
        vec![Foreseen::yes(arrives)]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![made.yes("water_arriving").map(|b| f64::from(u8::from(b)))]
    }
}
