//! Turned backwards: two of the three leads are exchanged.
//!
//! Electrically invisible: same currents, same speed. A centrifugal pump then makes about 0.63 of its head at
//! no flow and takes more torque than against a shut valve; a helical rotor pushes towards the closed check
//! valve and only rubs. Never explains: pressure above the pump's reversed shut-off head, unequal currents.

use wellwright_domain::cause::Cause;
use wellwright_domain::record::PumpKind;
use wellwright_domain::situation::{Noticed, Touched};
use wellwright_physics::pump::Rotation;

use super::{CauseModel, Context, Hypothesis};

/// See the module.
pub struct ReversedRotation;

/// Reversed head and torque of real multistage pumps lie this far from the published single-stage data
/// (physics note: +-15 %; a wider band downwards for torque).
const HEAD: [f64; 3] = [0.85, 1.0, 1.15];
const TORQUE_SIGMA: f64 = 0.16;

impl CauseModel for ReversedRotation {
    fn cause(&self) -> Cause {
        Cause::ReversedRotation
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[
            (Touched::Joint, 2.2),
            (Touched::Motor, 2.0),
            (Touched::Cable, 1.8),
            (Touched::Controller, 1.6),
            (Touched::Pump, 1.6),
        ]
    }

    fn signs(&self) -> &'static [(Noticed, f64)] {
        &[(Noticed::Noise, 0.18)]
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        let reversed = |head: f64, torque: f64, sigma: f64| {
            let mut h = Hypothesis::new(self.cause()).with(|c| {
                c.pump.rotation = Rotation::Reversed;
                c.pump.size_ratio = head;
                c.pump.efficiency_ratio = head / torque;
            });
            h.torque_sigma = sigma;
            h
        };
        match context.plant.kind {
            PumpKind::Centrifugal => HEAD.iter().map(|h| reversed(*h, 1.0, TORQUE_SIGMA)).collect(),
            PumpKind::HelicalRotor => [0.6, 1.0, 1.6].iter().map(|t| reversed(1.0, *t, 0.25)).collect(),
        }
    }
}
