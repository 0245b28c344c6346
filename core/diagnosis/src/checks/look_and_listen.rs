//! A look and a listen at wellhead, array and tank.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};
use crate::window::Outcome;

/// See the module.
pub struct LookAndListen;

impl CheckModel for LookAndListen {
    fn check(&self) -> Check {
        Check::LookAndListen
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let shade = if p.cause() == Cause::PartialShade { 0.85 } else { 0.07 };
        let noise = match p.cause() {
            Cause::DryRunning | Cause::OpenPhase => 0.4,
            Cause::ReversedRotation => 0.12,
            _ => 0.06,
        };
        let runs = p.table[Outcome::Runs as usize];
        vec![Foreseen::yes(runs), Foreseen::yes(noise), Foreseen::yes(0.03), Foreseen::yes(shade)]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        ["running", "unusual_noise", "leak_seen", "shade_seen"]
            .map(|f| made.yes(f).map(|b| f64::from(u8::from(b))))
            .to_vec()
    }
}
