//! Water at the intake: the pump takes air.
//!
//! Torque falls to 0.1 to 0.3 of the best point's (centrifugal, common practice) or to friction alone, which
//! may fall or rise as the rubber warms (helical rotor). Never explains: full flow, a level well above the
//! intake, pressure above the static column.

use wellwright_domain::cause::Cause;
use wellwright_domain::record::PumpKind;

use super::{CauseModel, Context, Hypothesis};

/// See the module.
pub struct DryRunning;

impl CauseModel for DryRunning {
    fn cause(&self) -> Cause {
        Cause::DryRunning
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        let well = &context.plant.water.well;
        let shares: &[f64] = match context.plant.kind {
            PumpKind::Centrifugal => &[0.08, 0.15, 0.22, 0.3, 0.4],
            PumpKind::HelicalRotor => &[0.5, 0.75, 1.0, 1.3, 1.7],
        };
        shares
            .iter()
            .map(|share| {
                Hypothesis::new(self.cause()).with(|c| {
                    c.pump.dry_torque_share = Some(*share);
                    c.water.static_deeper_m = (well.intake_m - well.static_m).max(0.0);
                })
            })
            .collect()
    }
}
