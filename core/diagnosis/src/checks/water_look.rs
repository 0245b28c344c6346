//! The water in a clear glass: sand, or bubbles.
//!
//! Bubbles speak for gas or for a level at the intake; sand for a pump that it blocks, wears or holds, and for a
//! screen that lets it in. Shares are engineering judgement.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction, yes_no};

/// See the module.
pub struct WaterLook;

impl CheckModel for WaterLook {
    fn check(&self) -> Check {
        Check::WaterLook
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let sand = match p.cause() {
            Cause::BlockedIntake | Cause::SeizedPump => 0.5,
            Cause::WornPump | Cause::MechanicalDrag => 0.4,
            Cause::CloggedScreen | Cause::BrokenShaft => 0.25,
            Cause::DryRunning | Cause::WellYieldLimit => 0.2,
            _ => 0.08,
        };
        let bubbles = match p.cause() {
            Cause::GasInWater => 0.85,
            Cause::DryRunning | Cause::WellYieldLimit => 0.4,
            Cause::Unknown => 0.1,
            _ => 0.04,
        };
        vec![Foreseen::yes(sand), Foreseen::yes(bubbles)]
    }

    fn field(&self, feature: usize) -> Option<&'static str> {
        ["sand", "bubbles"].get(feature).copied()
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![yes_no(made, "sand"), yes_no(made, "bubbles")]
    }

    fn while_running(&self) -> bool {
        true
    }
}
