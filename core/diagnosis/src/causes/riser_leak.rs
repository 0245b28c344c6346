//! Water escapes between pump and outlet.
//!
//! In the riser it falls back into the well: the pump works as ever, gauge and meter miss the share. At the surface
//! the meter sees it and the tank does not. The column stands over the hole at any speed, so that what escapes stays
//! nearly the same and weighs more the less is pumped. Never explains: less power for the same speed.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{CauseModel, Context, Hypothesis, on_grid};

/// See the module.
pub struct RiserLeak;

/// Escaping shares.
const SHARES: [f64; 7] = [0.1, 0.16, 0.25, 0.38, 0.55, 0.75, 1.0];

impl CauseModel for RiserLeak {
    fn cause(&self) -> Cause {
        Cause::RiserLeak
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Pipework, 2.4), (Touched::Pump, 1.3)]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::WetGround, 0.3), (Noticed::WaterLate, 0.15)]
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        // the share is that of the flow in good sun
        let flow = context.reference_flow_m3_h;
        let inside = on_grid(self.cause(), SHARES, |c, share| c.water.riser_leak_m3_h = share * flow);
        let outside = on_grid(self.cause(), SHARES, |c, share| c.water.surface_leak_m3_h = share * flow);
        inside
            .into_iter()
            .map(|h| h.weighing(0.7))
            .chain(outside.into_iter().map(|h| h.weighing(0.3)))
            .collect()
    }
}
