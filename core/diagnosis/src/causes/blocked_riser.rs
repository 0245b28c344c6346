//! Check valve stuck shut, or riser crushed below the gauge.
//!
//! The pump works as against a shut valve and the gauge shows nothing of it. Never explains: a gauge above the
//! static column.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::Touched;

use super::closed_valve::{self, Throttled};
use super::{CauseModel, Context, Hypothesis};

/// See the module.
pub struct BlockedRiser;

impl CauseModel for BlockedRiser {
    fn cause(&self) -> Cause {
        Cause::BlockedRiser
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Pipework, 1.8), (Touched::Pump, 1.8)]
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        closed_valve::nearly_shut(self.cause(), context, Throttled::BelowGauge)
    }
}
