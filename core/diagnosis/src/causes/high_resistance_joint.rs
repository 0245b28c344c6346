//! A joint resists: one lead has extra resistance.
//!
//! More power and voltage for the same speed, growing with the square of the current. A field-oriented drive
//! keeps the currents equal until its voltage is used up; a six-step drive shows them unequal. Never explains:
//! water, pressure or level other than the speed gives.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hypothesis, log_grid};

/// See the module.
pub struct HighResistanceJoint;

impl CauseModel for HighResistanceJoint {
    fn cause(&self) -> Cause {
        Cause::HighResistanceJoint
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Joint, 2.2), (Touched::Cable, 1.3), (Touched::Motor, 1.3), (Touched::Pump, 1.3)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::Hot, 0.15)]
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        // the prior lies on the share of rated phase voltage lost at rated current (contract)
        let range = self.cause().info().severity.as_ref().map_or((0.05, 12.0), |s| (s.low, s.high));
        let ohm_per_share = context.rated_phase_v() / context.plant.motor.rated_a;
        log_grid(0.02, 0.5, 9)
            .map(|share| (share * ohm_per_share).clamp(range.0, range.1))
            .flat_map(|ohm| {
                // what a drive tells of three unequal voltages differs by make
                [false, true].map(|highest| {
                    Hypothesis::new(self.cause()).at(ohm).with(|c| {
                        c.lead.one_lead_ohm = ohm;
                        c.lead.tells_highest = highest;
                    })
                })
            })
            .collect()
    }
}
