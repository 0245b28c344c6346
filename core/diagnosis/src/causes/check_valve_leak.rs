//! The column drains back when the pump stops.
//!
//! While it runs nothing shows. After a rest the next water is late by the time that filling takes, the gauge
//! falls to nothing at rest and the shaft may spin back. Never explains: less water in a long run.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hypothesis, log_grid};

/// See the module.
pub struct CheckValveLeak;

impl CauseModel for CheckValveLeak {
    fn cause(&self) -> Cause {
        Cause::CheckValveLeak
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Pipework, 1.8), (Touched::Pump, 1.8)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::WaterLate, 0.5)]
    }

    fn water(&self) -> Option<f64> {
        Some(1.0)
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        log_grid(0.5, 60.0, 6)
            .map(|minutes| {
                let mut h = Hypothesis::new(self.cause()).at(minutes);
                h.drains_in_min = Some(minutes);
                h
            })
            .collect()
    }
}
