//! The column drains back when the pump stops.
//!
//! While it runs nothing shows. After a rest the next water is late by the time that filling takes, the gauge
//! falls to nothing at rest and the shaft may spin back. Never explains: less water in a long run.

use wellwright_domain::cause::Cause;

use super::{CauseModel, Context, Hypothesis, log_grid};

/// See the module.
pub struct CheckValveLeak;

impl CauseModel for CheckValveLeak {
    fn cause(&self) -> Cause {
        Cause::CheckValveLeak
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
